import ca.uhn.fhir.context.FhirContext;
import ca.uhn.fhir.context.support.DefaultProfileValidationSupport;
import ca.uhn.fhir.validation.FhirValidator;
import ca.uhn.fhir.validation.ResultSeverityEnum;
import java.nio.file.Files;
import java.nio.file.Path;
import org.hl7.fhir.common.hapi.validation.support.CommonCodeSystemsTerminologyService;
import org.hl7.fhir.common.hapi.validation.support.InMemoryTerminologyServerValidationSupport;
import org.hl7.fhir.common.hapi.validation.support.UnknownCodeSystemWarningValidationSupport;
import org.hl7.fhir.common.hapi.validation.support.ValidationSupportChain;
import org.hl7.fhir.common.hapi.validation.validator.FhirInstanceValidator;
import org.hl7.fhir.r5.utils.validation.constants.BestPracticeWarningLevel;

/** Validates each file named as FHIR R4, bindings included; prints each fault; exits 1 if there is one. */
public final class Validate {
    public static void main(String[] files) throws Exception {
        FhirContext context = FhirContext.forR4();
        var unknown = new UnknownCodeSystemWarningValidationSupport(context);
        var chain = new ValidationSupportChain(
            new DefaultProfileValidationSupport(context),
            new CommonCodeSystemsTerminologyService(context),
            new InMemoryTerminologyServerValidationSupport(context),
            unknown);
        FhirValidator validator = context.newValidator();
        var instance = new FhirInstanceValidator(chain);
        instance.setBestPracticeWarningLevel(BestPracticeWarningLevel.Ignore);
        validator.registerValidatorModule(instance);
        int faults = 0;
        for (String file : files) {
            var result = validator.validateWithResult(Files.readString(Path.of(file)));
            for (var message : result.getMessages()) {
                boolean fault = message.getSeverity().compareTo(ResultSeverityEnum.ERROR) >= 0;
                faults += fault ? 1 : 0;
                if (fault || System.getenv("SHOW_WARNINGS") != null) {
                    System.out.println(Path.of(file).getFileName() + ": " + message.getSeverity() + ": "
                        + message.getLocationString() + ": " + message.getMessage());
                }
            }
        }
        System.out.println(files.length + " files, " + faults + " faults");
        System.exit(faults > 0 ? 1 : 0);
    }
}
