"""Names that point across grammar files: every one must point at something."""

from __future__ import annotations

from typing import TYPE_CHECKING, NoReturn

from dictate.errors import GrammarError

if TYPE_CHECKING:
    from dictate.grammar import schema
    from dictate.grammar.load import Grammar


def check_links(grammar: Grammar) -> None:
    """Refuse a grammar whose tests name unknown scales, sites, values or sets.

    Raises:
        GrammarError: With file, line and what is unknown.
    """
    for area in grammar.areas:
        for name, test in area.tests.items():
            _check_test(grammar, area, name, test)
    for term in grammar.ontology.terms if grammar.ontology else ():
        _check_term(grammar, term)
    _check_pictures(grammar)
    _check_told(grammar)


def _check_term(grammar: Grammar, term: schema.Term) -> None:
    test = grammar.tests.get(term.test)
    if test is None:
        return  # a grammar may do without an area
    sites = grammar.sites_of(term.test)
    scale = grammar.scales[test.scale] if test.scale else None
    unknown = [
        *(f"site {site!r}" for site in term.site if site not in sites),
        *(f"value {value!r}" for value in (*term.value, *term.denied)
          if value not in test.values and not (scale and scale.kind != "grades")),
        *(f"grade {grade!r}" for grade in term.grades if not scale or grade not in scale.grades),
    ]  # fmt: skip
    if unknown:
        raise GrammarError(
            f"common/ontology.yaml: {term.id} ({term.label}): there is no {unknown[0]}. "
            "Take the id from the file of its area."
        )


def _check_test(grammar: Grammar, area: schema.Area, name: str, test: schema.Test) -> None:
    def fail(key: str, reason: str) -> NoReturn:
        file = grammar.files.get(area.area, area.area)
        lines = grammar.lines.get(file)
        line = lines.of(("tests", name, key)) if lines else 1
        raise GrammarError(f"{file}:{line}: test {name!r}: {reason}.")

    if test.scale is not None and test.scale not in grammar.scales:
        fail("scale", f"no scale is called {test.scale!r}. Define it in common/scales.yaml")
    if isinstance(test.sites, str) and test.sites != "-" and test.sites not in grammar.groups:
        fail("sites", f"no group of sites is called {test.sites!r}. Define it in common/sites.yaml")
    sites = grammar.sites_of(name)
    for site in test.within:
        if site not in sites:
            fail("within", f"{site!r} is no site of the group {test.sites!r}")
    if test.site_not_said is not None and test.site_not_said not in sites:
        fail("site_not_said", f"{test.site_not_said!r} is no site of it")
    for value, spec in test.values.items():
        if spec.site is not None and spec.site not in sites:
            fail("values", f"{spec.site!r}, where {value!r} is, is no site of it")
    for value in (test.counted.all, test.counted.some, test.counted.none) if test.counted else ():
        if value not in test.values:
            fail("counted", f"{value!r} is no value of it")
    for key in ("named", "denied"):
        value = getattr(test, key)
        if value is not None and value not in test.values:
            fail(key, f"{value!r} is no value of it")
    for value in test.sided_values:
        if value not in test.values:
            fail("sided_values", f"{value!r} is no value of it")
    for label, spec in test.values.items():
        for words in spec.sets or ():
            if words not in grammar.sets:
                fail("values", f"value {label!r}: no set is called {words!r} in common/values.yaml")
    sized = (test.measured_as,) if test.measured_as else ()
    lent = (*test.lends_place, *test.lends_name.values())
    for other in (*test.covers, *lent, *test.modalities, *sized):
        if other not in {test for area in grammar.areas for test in area.tests}:
            fail("covers", f"no test is called {other!r}")
    for sites_counted in test.counts.values():
        for site in sites_counted:
            if site not in sites:
                fail("counts", f"{site!r} is no site of it")


def _check_pictures(grammar: Grammar) -> None:
    """What a picture names must be there; a grammar of some areas alone draws what it has."""
    pictures = grammar.pictures
    marks = pictures.figure.marks if pictures.figure else ()
    for marked in marks:
        if marked.test not in grammar.tests:
            continue
        known = {"-", *grammar.sites_of(marked.test)}
        values = grammar.tests[marked.test].values
        unknown = next(iter([*(set(marked.at) - known), *(set(marked.arrows) - set(values))]), None)
        if unknown is not None:
            raise GrammarError(
                f"common/pictures.yaml:1: {unknown!r} is no site or value of {marked.test!r}."
            )


def _check_told(grammar: Grammar) -> None:
    """What an instruction to the patient names must be the name of a test or of a site."""
    names = {form.lower() for test in grammar.tests.values() for form in test.spoken}
    for test in grammar.tests:
        for site in grammar.sites_of(test).values():
            names.update(form.lower() for form in (*site.spoken, *site.plural))
    for area in grammar.areas:
        for number, one in enumerate(area.told):
            if one.name.lower() not in names:
                file = grammar.files.get(area.area, area.area)
                lines = grammar.lines.get(file)
                line = lines.of(("told", number, "name")) if lines else 1
                raise GrammarError(
                    f"{file}:{line}: no test and no site is called {one.name!r}. "
                    "Take one of the words under 'spoken'."
                )
