"""How far words reach that turn a statement round: time, person and condition over a clause, and a
search over what came of it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from itertools import pairwise

from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading

#: Words that put their clause into another time, another mouth or another world.
_APART = frozenset({"elsewhere", "reported"})
_BREAKS = frozenset({"comma", "but", "and", "except", "stop", "colon"})
#: Signs that say that a thing is there, or is not.
SIGNS = frozenset("+-–−")
_ONE = frozenset({"right", "left"})
_VALUED = frozenset({"value", "grade", "not_tested", "unable", "deny", "denied"})


def led(row: list[Item], turns: frozenset[str]) -> list[Item]:
    """ "Now I'm going to the left leg", "right leg first": what leads over to a part that is named.

    Args:
        row: The items of one sentence. Words that lead over end a statement where they open one of
            their own ("deviates over to the left" does not).
        turns: Words that say after a part that it comes now.
    """
    for i, item in enumerate(row):
        if "leads" in item.others and i and row[i - 1].kind not in _BREAKS:
            item.kind = "glue"
    first = next((i for i, item in enumerate(row) if item.kind != "glue"), 0)
    at = first + (row[first].kind == "side") if row else 0
    if at + 2 < len(row) and _limb(row[at]) and row[at + 1].text in turns:
        row[at + 1].kind = "colon"  # "right arm now there's a drift, tone is up"
    said = [item for item in row if item.kind not in {"glue", "stop"}]
    turned = len(said) > 1 and said[-1].kind == "unknown" and said[-1].text in turns
    if turned and all(x.kind in {"side", "target", "section"} for x in said[:-1]):
        said[-1].kind = "glue"
    return row


def not_the_other(row: list[Item]) -> list[Item]:
    """ "Ataxic, not spastic": what it is not, beside what it is, is a detail of it.

    Args:
        row: The items of one sentence.
    """
    for i, item in enumerate(row):
        if item.kind != "deny" or item.end - item.start > 1 or i + 1 >= len(row):
            continue
        before = next((x for x in reversed(row[:i]) if x.kind not in {"glue", "comma"}), None)
        after = row[i + 1]
        ends = i + 2 >= len(row) or row[i + 2].kind in _BREAKS
        if before is None or not ends or {before.kind, after.kind} - {"value", "target"}:
            continue
        denied = any(x.kind in {"deny", "denied"} for x in row[:i])
        named = {r.test for x in row[:i] if x is not before for r in x.of_kind("test")}
        one, other = _own_values(before), _own_values(after)
        parts = {r.test for x in row[:i] for r in x.of_kind("site")}
        well = {one.get(test) for test in other} == {"normal"}
        if after.kind == "target" and well and other.keys() <= named | parts:
            continue  # "strong, no facial droop"
        alike = one.keys() & other.keys() & named or (other.keys() <= one.keys() and other.keys())
        if not denied and alike and all(one[test] != other[test] for test in alike):
            detail = Item("quality", item.start, after.end, text=f"{item.text} {after.text}")
            return [*row[:i], detail, *not_the_other(row[i + 2 :])]
    return row


def _own_values(item: Item) -> dict[str, str]:
    """What a word is a value of."""
    return {r.test: r.id for r in item.of_kind("value", "sign") if r.test}


def _limb(item: Item) -> bool:
    """An arm or a leg, and the name of no test."""
    limb = any(reading.group == "limb" for reading in item.of_kind("site"))
    return item.kind == "target" and limb and not item.of_kind("test", "after_site", "sign")


#: What comes after the last thing that is said in a sentence.
_ENDS = frozenset({"", "stop", "comma"})


def the_one(row: list[Item], words: Sequence[str], pronouns: frozenset[str]) -> list[Item]:
    """ "The left one is flexor": a word for what was named before, and no number.

    Args:
        row: The items of one sentence.
        words: The folded words of the utterance, by token.
        pronouns: Numbers that stand for a thing.
    """
    named = any(item.kind == "target" for item in row)
    fixed = False
    for i in range(1, len(row)):
        item, side = row[i], row[i - 1]
        fixed = (fixed or "replace" in side.others) and side.kind != "target"
        if item.kind != "grade" or item.end - item.start > 1 or words[item.start] not in pronouns:
            continue
        opens = i == 1 and not named  # "Left one, normal."
        led_in = (opens or "definite" in row[i - 2].others) and side.kind == "side"
        idle = {"glue", "degree", "comma"} if opens else {"glue", "degree"}
        after = next((x.kind for x in row[i + 1 :] if x.kind not in idle), "")
        mended = fixed and "definite" in row[i - 2].others and i > 1  # "sorry, the right one"
        if led_in and (after in _VALUED | {"denied", "doubt"} or (mended and after in _ENDS)):
            item.kind, item.grade = "glue", None
    return row


def adverbs(row: list[Item], words: frozenset[str]) -> list[Item]:
    """ "Romberg negative actually, he sways": an adverb that ends what was said corrects nothing.

    Args:
        row: The items of one sentence.
        words: Adverbs that also announce a correction ("actually, the left").
    """
    for i in range(1, len(row) - 2):
        said = row[i - 1].kind in {"value", "grade", "side"} and row[i + 1].kind == "comma"
        if row[i].kind == "replace" and row[i].text in words and said:
            told = "definite" in row[i + 2].others  # a clause with a subject of its own follows
            if told:
                row[i].kind, row[i].others = "glue", row[i].others - {"replace"}
    return row


def sought(row: list[Item]) -> list[Item]:
    """ "Could not be obtained because of the oedema": nobody could look, so it is not absent.

    Args:
        row: The items of one sentence; what was sought before a reason becomes ``unable``.
    """
    for i, item in enumerate(row):
        if "sought" in item.others and any(x.kind == "reason" for x in row[i + 1 :]):
            item.kind = "unable"
        if "seek" in item.others and any(x.kind in {"deny", "denied"} for x in row[i + 1 :]):
            item.kind = "glue"  # "looked for clonus and found none"
    return row


def denials(row: list[Item]) -> list[Item]:
    """ "Could not be elicited" is a value of the test that has it, and of any other a denial.

    Args:
        row: The items of one sentence.
    """
    for i, item in enumerate(row):
        turned = item.others & {"deny", "denied"}
        own = {r.test for r in item.of_kind("value")}
        if item.kind == "value" and turned and "" not in own and not own & _named_beside(row, i):
            item.kind = "denied" if "denied" in turned else "deny"
    return row


def _named_beside(row: Sequence[Item], i: int) -> set[str]:
    """The tests of what is named after it, before the next break; or else of all before it."""
    end = next((j for j in range(i + 1, len(row)) if row[j].kind in _BREAKS), len(row))
    after = [x for x in row[i + 1 : end] if x.kind == "target"]
    found: set[str] = set()
    for item in after or [x for x in row[:i] if x.kind == "target"]:
        found |= {r.test for r in item.of_kind("test", "after_site", "sign")}
        found |= {r.group for r in item.of_kind("site")}
    return found


def not_moved(row: list[Item]) -> list[Item]:
    """ "Cannot deviate": of what a part does, that it could not is that it did not.

    Args:
        row: The items of one sentence.
    """
    for item, after in pairwise(row):
        own = after.kind == "value" and all(r.test for r in after.of_kind("value"))
        undone = item.kind == "unable" or {"not_tested", "unmoved"} <= item.others
        if undone and own:
            item.kind, item.others = "deny", item.others | {"unmoved"}
    return row


def fillers(row: list[Item]) -> list[Item]:
    """ "Heel walk, well, let me see": between two commas it says nothing of the name.

    Args:
        row: The items of one sentence.
    """
    for i in range(1, len(row) - 2):
        between = row[i - 1].kind == row[i + 1].kind == "comma"
        said = row[i + 2].kind not in {"target", "side", "stop"}
        if row[i].kind == "value" and "filler" in row[i].others and between and said:
            row[i].kind, row[i].readings = "glue", ()
    return row


def in_brackets(row: list[Item]) -> list[Item]:
    """ "Right unable (weakness)": what stands in brackets after it is the reason.

    Args:
        row: The items of one sentence.
    """
    for i, item in enumerate(row):
        undone = i and row[i - 1].kind in {"unable", "not_tested"}
        end = next((j for j in range(i, len(row)) if row[j].text == ")"), None)
        if item.text == "(" and undone and end is not None:
            joined = Item("because", item.start, row[end].end, text="reason")
            return [*row[:i], joined, *in_brackets(row[end + 1 :])]
    return row


def both_of_two(row: list[Item]) -> list[Item]:
    """ "Palate and tongue both midline", "on the left both five": both names, not both sides.

    Args:
        row: The items of one sentence.
    """
    for i in range(1, len(row) - 1):
        if row[i].kind != "side" or row[i].end - row[i].start != 1:
            continue
        both = any(r.id == "both" for r in row[i].of_kind("side"))
        said = [x for x in row[:i] if x.kind != "glue"][-3:]  # "... and strength were both normal"
        names = [x.kind for x in said] == ["target", "and", "target"]
        tests = all(x.of_kind("test") and not x.of_kind("site") for x in said[::2])
        sided = any(_one_side(x) for x in row[:i])  # "left forehead and mouth both weak"
        last = next((x for x in reversed(row[:i]) if x.kind != "glue"), row[0])  # "... are both"
        of_side = _one_side(last)
        parts = [x for x in row[i + 1 : i + 4 : 2] if "detail" in x.others]
        of_parts = len(parts) > 1 and row[i + 2].kind == "and"  # "both upper and lower"
        named = row[i + 1].kind in {"value", "grade"} and ((names and (tests or sided)) or of_side)
        if both and (named or of_parts):
            row[i].kind, row[i].readings = "glue", ()
    return row


def _one_side(item: Item) -> bool:
    return item.kind == "side" and {r.id for r in item.of_kind("side")} <= _ONE


def either_side(row: list[Item]) -> list[Item]:
    """ "No weakness, right or left": what is denied of either side is denied of both.

    Args:
        row: The items of one sentence.
    """
    denied = False
    for i, item in enumerate(row):
        denied = denied or item.kind in {"deny", "denied"}
        three = row[i : i + 3]
        if not denied or [x.kind for x in three] != ["side", "and", "side"]:
            continue
        if "either" in three[1].others and {
            x.of_kind("side")[0].id for x in (three[0], three[2])
        } == {
            "right",
            "left",
        }:
            both = tuple(replace(r, id="both") for r in item.of_kind("side"))
            joined = Item(
                "side", item.start, three[2].end, both, text="both", others=frozenset({"side"})
            )
            return [*row[:i], joined, *row[i + 3 :]]
    return row


def marks(row: list[Item], present: tuple[Reading, ...], absent: tuple[Reading, ...]) -> list[Item]:
    """ "Snout -, glabellar +": a plus or a minus right after a sign, and nothing after it.

    Args:
        row: The items of one sentence.
        present: What a plus means.
        absent: What a minus means.
    """
    for i in range(1, len(row)):
        sign = row[i - 1].kind == "target" and any(
            r.id for r in row[i - 1].of_kind("test", "sign", "site")
        )
        ends = i + 1 >= len(row) or row[i + 1].kind in {"comma", "stop", "and", "side"}
        if row[i].text in SIGNS and sign and ends and row[i].grade is None:
            meant = present if row[i].text == "+" else absent
            row[i] = replace(row[i], kind="value", readings=meant, others=frozenset({"value"}))
    return row


def parts(row: Sequence[Item], present: Collection[tuple[str, ...]] = ()) -> list[tuple[int, int]]:
    """Where a clause of another time or person begins, and where it ends.

    "Right deltoid four, last year it was five": the first part stands by itself. What only adds
    whose word it was ("right ptosis, according to the letter") is of the whole sentence. "The
    letter says absent, but today the knee jerks are two plus": a word of today begins another part.

    Args:
        row: One sentence's items as the lexicon gave them.
        present: Words of today, folded.
    """
    apart = [i for i, item in enumerate(row) if item.others & _APART]
    if not apart:
        return [(0, len(row))]
    cut = next((i for i in range(apart[0], 0, -1) if row[i].kind in _BREAKS), 0)
    contrast = row[cut].kind == "but"
    if not (cut and _says(row[:cut]) and (contrast or _says(row[cut:]))):
        cut = 0
    again = _today(row, apart[-1], present)
    ends = [0, cut, *([again] if again else []), len(row)]
    return [(a, b) for a, b in pairwise(ends) if b > a]


def _today(row: Sequence[Item], last: int, present: Collection[tuple[str, ...]]) -> int | None:
    """Where a clause with a word of today begins, after the last word of another time or person."""
    words = [(word, i) for i, item in enumerate(row) for word in item.text.split()]
    for cut in range(last + 1, len(row)):
        if row[cut].kind not in _BREAKS:
            continue
        end = next((j for j in range(cut + 1, len(row)) if row[j].kind in _BREAKS), len(row))
        said = [word for word, i in words if cut < i < end]
        told = any(
            tuple(said[k : k + len(form)]) == form for form in present for k in range(len(said))
        )
        if told and _says(row[cut:]):
            return cut + 1
    return None


def _says(row: Sequence[Item]) -> bool:
    """A name and what was found."""
    named = [item for item in row if item.kind == "target"]
    valued = any(item.kind in _VALUED for item in row)
    signs = any(item.of_kind("sign") or any(r.id for r in item.of_kind("test")) for item in named)
    return valued or signs
