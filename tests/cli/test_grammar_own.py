"""A clinician's own grammar: files that add to the shipped one, a copy of it, a new area."""

from __future__ import annotations

from pathlib import Path

import pytest

from dictate.examples import cases, fault
from dictate.grammar import load_grammar

SHIPPED = Path(__file__).resolve().parents[2] / "grammars"


def own(folder: Path, text: str, name: str = "mine.yaml") -> Path:
    """A folder with one file."""
    folder.mkdir(exist_ok=True)
    (folder / name).write_text(text, encoding="utf-8")
    return folder


ADDS = """\
area: motor
also_called: {tone: [muscle feel]}
also_said: {tone: {normal: [velvety]}}
tests:
  thumb_roll:
    name: thumb roll
    spoken: [thumb roll]
    side: abnormal
    values:
      normal: {normal: true}
      slow: {normal: false, spoken: [sticky]}
    note: "Thumb roll {value} {where}"
examples:
  - say: thumb roll sticky on the left, muscle feel velvety
    find: ["thumb_roll - left slow", "tone all - normal"]
"""


def test_a_folder_adds_to_what_was_shipped(run, tmp_path: Path) -> None:
    folder = own(tmp_path / "own", ADDS)
    text = "Thumb roll sticky on the left. Muscle feel velvety. Right deltoid 4.\n"
    result = run("note", "-", "--grammar", folder, text=text)
    assert result.exit_code == 0, result.output
    for line in ("Thumb roll slow on the left.", "Tone normal.", "4/5"):
        assert line in result.stdout


def test_its_examples_are_run_and_named_by_its_own_file(tmp_path: Path) -> None:
    wrong = ADDS.replace("thumb_roll - left slow", "thumb_roll - right slow")
    grammar = load_grammar(own(tmp_path / "own", wrong))
    faulty = [case.name for case in cases(grammar) if fault(grammar, case.example)]
    assert faulty == ["mine.yaml:14"]


def test_what_was_shipped_is_still_right(tmp_path: Path) -> None:
    grammar = load_grammar(own(tmp_path / "own", ADDS))
    shipped = [case for case in cases(grammar) if case.file != "mine.yaml"]
    assert len(shipped) == len(list(cases(load_grammar())))
    assert not [case.name for case in shipped[::10] if fault(grammar, case.example)]


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (("thumb_roll:", "tremor:"), "mine.yaml:5: the test 'tremor' is there already"),
        (("tests:", "replaces: [tremor]\ntests:"), "mine.yaml:4: 'tremor' is replaced, and"),
        (("tests:", "replaces: [wink]\ntests:"), "mine.yaml:4: there is no test 'wink'"),
        (("tone: {normal", "tune: {normal"), "mine.yaml:3: there is no test 'tune'"),
        (("normal: [velvety]", "silky: [velvety]"), "has no value 'silky'"),
        (("area: motor", "area: thumbs"), "mine.yaml:1: 'thumbs' is a new area"),
        (("spoken: [thumb", "spokn: [thumb"), "'spokn' is no key of this place"),
    ],
)
def test_a_mistake_is_named_with_file_and_line(
    run, one_sentence, tmp_path: Path, change: tuple[str, str], told: str
) -> None:
    result = run("grammar", "check", own(tmp_path / "own", ADDS.replace(*change, 1)))
    assert result.exit_code == 3
    assert told in one_sentence(result)


def test_a_test_takes_the_place_of_a_shipped_one(tmp_path: Path) -> None:
    text = ADDS.replace("thumb_roll", "asterixis").replace(
        "tests:", "replaces: [asterixis]\ntests:"
    )
    grammar = load_grammar(own(tmp_path / "own", text))
    assert grammar.tests["asterixis"].name == "thumb roll"
    spoken = [form for test in grammar.tests.values() for form in test.spoken]
    assert "flapping tremor" not in spoken
    assert not [
        case.name
        for case in cases(grammar)
        if any(row.startswith("asterixis ") for row in case.example.find or ())
        and fault(grammar, case.example)
    ]


def test_every_term_of_the_shipped_ontology_has_its_test() -> None:
    grammar = load_grammar()
    assert grammar.ontology is not None
    assert not [term.id for term in grammar.ontology.terms if term.test not in grammar.tests]


def test_a_new_area_runs_as_it_is_written(run, tmp_path: Path) -> None:
    folder = tmp_path / "own"
    result = run("grammar", "new", "palm_chin", "--in", folder)
    assert result.exit_code == 0, result.output
    grammar = load_grammar(folder)
    mine = [case for case in cases(grammar) if case.file == "palm_chin.yaml"]
    assert len(mine) == 3
    assert not [case.example.say for case in mine if fault(grammar, case.example)]
    assert not [case.example.say for case in mine if fault(grammar, case.example, mirrored=True)]
    again = run("grammar", "new", "palm_chin", "--in", folder)
    assert again.exit_code == 2


@pytest.mark.parametrize("area", ["Palm", "palm chin", "../palm", "palm-chin", "9palm", "_palm"])
def test_a_name_that_is_none_is_refused(run, one_sentence, tmp_path: Path, area: str) -> None:
    result = run("grammar", "new", area, "--in", tmp_path / "own")
    assert result.exit_code == 2
    one_sentence(result)
    assert not (tmp_path / "own").exists()


def test_a_copy_is_the_whole_grammar(run, one_sentence, tmp_path: Path) -> None:
    folder = tmp_path / "copy"
    result = run("grammar", "copy", folder)
    assert result.exit_code == 0, result.output
    copied = {str(p.relative_to(folder)): p.read_text("utf-8") for p in folder.rglob("*.yaml")}
    shipped = {str(p.relative_to(SHIPPED)): p.read_text("utf-8") for p in SHIPPED.rglob("*.yaml")}
    assert copied == shipped
    (folder / "gait.yaml").unlink()
    assert "gait" not in load_grammar(folder).tests
    again = run("grammar", "copy", folder)
    assert again.exit_code == 2
    one_sentence(again)
