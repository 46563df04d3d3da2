"""The network that came with the program: what it says, and what it says nothing of."""

from __future__ import annotations

import copy
import shutil
from pathlib import Path

import pytest

from dictate.entail import entailment as module
from dictate.entail.entailment import SHIPPED, Entailment, entailment
from dictate.entail.pairs import LONGEST, Pair, PairTokens, levelled, mirrored
from dictate.errors import ModelError

#: Lines of our own, in no text that it was taught from, and what each means and does not mean.
LINES = [
    ("The strength of the right wrist extensors comes to four out of five today.",
     "Right wrist extensors 4/5", "Left wrist extensors 4/5"),
    ("Left ankle jerk is nowhere to be found.", "Left ankle jerk absent", "Left ankle jerk 2+"),
    ("Her tongue sticks out in the middle.", "Tongue normal", "Tongue deviates to the left"),
    ("Both knees give me a three plus.", "Right knee jerk 3+", "Right knee jerk 1+"),
    ("I see nothing like a drift of the arms.", "No pronator drift", "Pronator drift"),
    ("Pinprick is dulled over the left foot.", "Left foot pinprick reduced",
     "Left foot pinprick normal"),
]  # fmt: skip


@pytest.fixture(scope="module")
def network() -> Entailment:
    found = entailment()
    assert found is not None, "the weights that come with the program cannot be loaded"
    return found


@pytest.mark.parametrize(("text", "yes", "no"), LINES)
def test_it_tells_what_a_line_means(network: Entailment, text: str, yes: str, no: str) -> None:
    meant, other = network.weigh([Pair((), text, yes), Pair((), text, no)])
    assert meant > 0 > other


@pytest.mark.parametrize(("text", "yes", "no"), LINES)
def test_mirrored_it_says_exactly_the_same(
    network: Entailment, text: str, yes: str, no: str
) -> None:
    for phrase in (yes, no):
        pair = Pair(("Now the left side.",), text, phrase)
        # one at a time: what stands beside a pair may change the last digits of its sums
        assert network.weigh([pair]) == network.weigh([mirrored(pair)])


def test_the_same_again_gives_the_same(network: Entailment) -> None:
    pairs = [Pair((), text, yes) for text, yes, _ in LINES]
    assert network.weigh(pairs) == network.weigh(pairs)
    assert copy.deepcopy(network) is network


def test_nothing_to_weigh(network: Entailment) -> None:
    assert network.weigh([]) == []


def test_a_side_in_a_short_form_is_not_mirrored() -> None:
    """ "L 4" may be a root."""
    pair = Pair((), "L deltoid four", "Left deltoid 4/5")
    assert mirrored(pair) == levelled(pair) == pair


def test_a_long_line_is_looked_at_where_the_finding_is() -> None:
    cut = PairTokens(SHIPPED / "tokenizer.json")
    text = "nothing of note here, " * 100 + "left deltoid four"
    near, far = cut.of([Pair((), text, "x", text.index("left")), Pair((), text, "x")])
    assert len(near.ids) <= LONGEST
    assert near.ids != far.ids
    short = cut.of([Pair((), "left deltoid four", "x")])[0]
    assert set(short.ids) <= set(near.ids)


@pytest.mark.parametrize("file", ["model.bin", "head.npz", "tokenizer.json", "manifest.json"])
@pytest.mark.parametrize("fault", ["missing", "cut off"])
def test_weights_that_cannot_be_used_are_said(file: str, fault: str, tmp_path: Path) -> None:
    folder = tmp_path / "weights"
    shutil.copytree(SHIPPED, folder)
    if fault == "missing":
        (folder / file).unlink()
    else:
        (folder / file).write_bytes((folder / file).read_bytes()[:100])
    with pytest.raises(ModelError, match="cannot be used"):
        Entailment(folder)


def test_without_it_the_program_goes_on(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(module, "SHIPPED", tmp_path)
    monkeypatch.setattr(Entailment.__init__, "__defaults__", (tmp_path, 0))
    entailment.cache_clear()
    try:
        assert entailment() is None
    finally:
        monkeypatch.undo()
        entailment.cache_clear()
