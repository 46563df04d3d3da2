"""All grammar files as one checked, frozen Grammar."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from dictate.errors import GrammarError
from dictate.grammar import schema
from dictate.grammar.expand import expanded
from dictate.grammar.folder import grammar_files, grammar_folder, is_whole
from dictate.grammar.groups import owned_by, taken_by
from dictate.grammar.own import OwnFile, join, read_own
from dictate.grammar.read import Lines, read_yaml, shape

#: The files of common/ and their kinds; every other file is an exam area.
COMMON: dict[str, type[schema.Shape]] = {
    "common/sides.yaml": schema.SidesFile,
    "common/sites.yaml": schema.SitesFile,
    "common/scales.yaml": schema.ScalesFile,
    "common/values.yaml": schema.ValuesFile,
    "common/speech.yaml": schema.SpeechFile,
    "common/numbers.yaml": schema.NumbersFile,
    "common/misheard.yaml": schema.MisheardFile,
    "common/heard_as.yaml": schema.HeardAsFile,
    "common/phrasing.yaml": schema.PhrasingFile,
    "common/requests.yaml": schema.RequestsFile,
    "common/closed.yaml": schema.ClosedFile,
    "common/harmless.yaml": schema.HarmlessFile,
    "common/deciding.yaml": schema.DecidingFile,
    "common/closed_classes.yaml": schema.ClosedClassesFile,
    "common/ontology.yaml": schema.OntologyFile,
    "common/pictures.yaml": schema.PicturesFile,
    "common/wording.yaml": schema.WordingFile,
}
#: Files that a grammar can do without: for a speech recogniser, the closed classes, what decides
#: between recording and asking, and what is for other programs, for pictures and for the note.
OPTIONAL = (
    "common/heard_as.yaml",
    "common/phrasing.yaml",
    "common/closed.yaml",
    "common/closed_classes.yaml",
    "common/harmless.yaml",
    "common/deciding.yaml",
    "common/ontology.yaml",
    "common/pictures.yaml",
    "common/wording.yaml",
    "common/closed_classes.yaml",
)


@dataclass(frozen=True)
class Grammar:
    """Everything that the reader, the resolver and the note know about the examination."""

    areas: tuple[schema.Area, ...]
    groups: dict[str, schema.SiteGroup]
    scales: dict[str, schema.Scale]
    sets: dict[str, schema.Words]
    sides: schema.SideWords
    speech: schema.Speech
    numbers: schema.NumbersFile
    misheard: schema.MisheardFile
    requests: schema.RequestsFile
    closed: schema.ClosedFile = field(default_factory=schema.ClosedFile)
    harmless: schema.Harmless = field(default_factory=schema.Harmless)
    deciding: schema.DecidingFile = field(default_factory=schema.DecidingFile)
    heard_as: dict[str, schema.Words] = field(default_factory=dict)
    phrasing: tuple[schema.Orders, ...] = ()
    classes: dict[str, schema.Words] = field(default_factory=dict)
    ontology: schema.Ontology | None = None
    pictures: schema.PicturesFile = field(default_factory=schema.PicturesFile)
    wording: schema.WordingFile = field(default_factory=schema.WordingFile)
    lines: dict[str, Lines] = field(default_factory=dict, repr=False)
    files: dict[str, str] = field(default_factory=dict, repr=False)
    #: File and number of an example that was added to an area, by area and number.
    origins: dict[tuple[str, int], tuple[str, int]] = field(default_factory=dict, repr=False)
    #: Every test by id, in the order of the areas and of the note.
    tests: dict[str, schema.Test] = field(init=False, repr=False)
    #: What a scale's grades are said "of" ("five"), for every scale that has it.
    denominators: frozenset[str] = field(init=False, repr=False)
    _owners: dict[str, schema.Area] = field(init=False, repr=False)
    _sites: dict[str, dict[str, schema.Site]] = field(init=False, repr=False)
    _owned: dict[str, frozenset[tuple[str, str]]] = field(init=False, repr=False)

    def area_of(self, test: str) -> schema.Area:
        """The area (section of the note) that a test belongs to."""
        return self._owners[test]

    def sites_of(self, test: str) -> dict[str, schema.Site]:
        """The sites that a test takes, by id; empty where it takes none."""
        return self._sites[test]

    def is_pattern(self, group: str, site: str) -> bool:
        """Whether a site of a group is no place but how several are affected ("glove")."""
        entry = self.groups[group].sites.get(site) if group in self.groups else None
        return entry is not None and entry.pattern

    def takes_site(self, test: str, group: str, site: str) -> bool:
        """Whether a site of a group of sites, its own or one that its group takes, is a test's."""
        return (group, site) in self._owned[test] and site in self._sites[test]

    def __post_init__(self) -> None:
        ordered = sorted(self.areas, key=lambda area: area.place)
        tests: dict[str, schema.Test] = {}
        owners: dict[str, schema.Area] = {}
        for area in ordered:
            for name, test in sorted(area.tests.items(), key=lambda pair: pair[1].order):
                if name in tests:
                    file = self.files.get(area.area, area.area)
                    line = self.lines[file].of(("tests", name)) if file in self.lines else 1
                    raise GrammarError(
                        f"{file}:{line}: the test {name!r} is also in "
                        f"the area {owners[name].area!r}. Keep one of the two."
                    )
                tests[name] = test
                owners[name] = area
        object.__setattr__(self, "areas", tuple(ordered))
        object.__setattr__(self, "tests", tests)
        said_of = frozenset(str(scale.of) for scale in self.scales.values() if scale.of)
        object.__setattr__(self, "denominators", said_of)
        object.__setattr__(self, "_owners", owners)
        taken = {name: taken_by(test, self.groups) for name, test in tests.items()}
        object.__setattr__(self, "_sites", taken)
        owned = {name: owned_by(test, self.groups) for name, test in tests.items()}
        object.__setattr__(self, "_owned", owned)

    def __hash__(self) -> int:
        return id(self)


def read_grammar(texts: Iterable[tuple[str, str]], own: Sequence[OwnFile] = ()) -> Grammar:
    """Check and join grammar files.

    Args:
        texts: (name, content) pairs.
        own: Files that add to them.

    Raises:
        GrammarError: A file is broken, missing, or names what no file defines.
    """
    common: dict[str, object] = {}
    areas: list[schema.Area] = []
    lines: dict[str, Lines] = {}
    names: dict[str, str] = {}
    for name, text in texts:
        data, where = read_yaml(name, text)
        lines[name] = where
        if name in COMMON:
            common[name] = shape(COMMON[name], name, data, where)
        else:
            area = shape(schema.Area, name, data, where)
            if area.area in names:
                raise GrammarError(f"{name}:1: the area {area.area!r} is also in another file.")
            names[area.area] = name
            areas.append(area)
    for name in OPTIONAL:
        common.setdefault(name, COMMON[name]())
    missing = sorted(set(COMMON) - set(common))
    if missing:
        raise GrammarError(f"{missing[0]} is missing. A grammar needs all files of common/.")
    classes = common["common/closed.yaml"].classes  # type: ignore[attr-defined]
    areas = [expanded(area, classes, names[area.area]) for area in areas]
    return _joined(common, areas, lines, names, own)


def _joined(
    common: dict[str, object],
    areas: list[schema.Area],
    lines: dict[str, Lines],
    names: dict[str, str],
    own: Sequence[OwnFile],
) -> Grammar:
    from dictate.grammar.link import check_links
    from dictate.grammar.phrasing import check_phrasing

    parts = {name.removeprefix("common/").removesuffix(".yaml"): common[name] for name in COMMON}
    heard_as = parts["heard_as"].heard_as  # type: ignore[attr-defined]
    added = join(areas, names, heard_as, own)
    lines.update((file.name, file.lines) for file in own)
    grammar = Grammar(
        areas=tuple(added.areas.values()),
        groups=parts["sites"].groups,  # type: ignore[attr-defined]
        scales=parts["scales"].scales,  # type: ignore[attr-defined]
        sets=parts["values"].sets,  # type: ignore[attr-defined]
        sides=parts["sides"].sides,  # type: ignore[attr-defined]
        speech=parts["speech"].speech,  # type: ignore[attr-defined]
        numbers=parts["numbers"],  # type: ignore[arg-type]
        misheard=parts["misheard"],  # type: ignore[arg-type]
        heard_as=added.heard_as,
        phrasing=parts["phrasing"].phrasing,  # type: ignore[attr-defined]
        ontology=_without(parts["ontology"].ontology, own),  # type: ignore[attr-defined]
        pictures=parts["pictures"],  # type: ignore[arg-type]
        wording=parts["wording"],  # type: ignore[arg-type]
        requests=parts["requests"],  # type: ignore[arg-type]
        closed=parts["closed"],  # type: ignore[arg-type]
        harmless=parts["harmless"].harmless,  # type: ignore[attr-defined]
        deciding=parts["deciding"],  # type: ignore[arg-type]
        classes=parts["closed_classes"].classes,  # type: ignore[attr-defined]
        lines=lines,
        files=added.files,
        origins=added.origins,
    )
    check_links(grammar)
    check_phrasing(grammar)
    return grammar


def _without(ontology: schema.Ontology | None, own: Sequence[OwnFile]) -> schema.Ontology | None:
    """The terms without those of replaced tests: they were of what the tests said before."""
    replaced = {test for file in own for test in file.content.replaces}
    if ontology is None or not replaced:
        return ontology
    kept = tuple(term for term in ontology.terms if term.test not in replaced)
    return ontology.model_copy(update={"terms": kept})


@lru_cache(maxsize=4)
def load_grammar(folder: Path | None = None) -> Grammar:
    """The grammar that came with the program, or the one in a named folder.

    A folder with the files of common/ is a whole grammar and replaces it; one without adds to it.

    Raises:
        GrammarError: It is missing or not understood.
    """
    if folder is None or is_whole(folder):
        return read_grammar(grammar_files(grammar_folder(folder)))
    own = read_own(grammar_files(grammar_folder(folder)))
    if not own:
        raise GrammarError(f"{folder} holds no grammar files. Name the folder that holds them.")
    return read_grammar(grammar_files(grammar_folder()), own)
