"""A small grammar made by hand, so that exact notes do not hang on the words of the real one."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from dictate.grammar import Grammar, load_grammar, schema
from dictate.model import Finding, Place

MUSCLES = {
    "all": schema.Site(unsided=True),
    "upper_limb": schema.Site(name="arm", names="arms"),
    "deltoid": schema.Site(name="deltoid", names="deltoids", part_of=("upper_limb",)),
    "biceps": schema.Site(name="biceps", part_of=("upper_limb",)),
    "hip_flexion": schema.Site(name="hip flexors", part_of=("lower_limb",)),
    "lower_limb": schema.Site(name="leg", names="legs"),
}
ANKLE = {"ankle": schema.Site(name="ankle", names="ankles")}
SELF = {"person": schema.Site(name="person"), "place": schema.Site(name="place")}
YES_NO = {"absent": schema.Value(normal=True), "present": schema.Value(normal=False)}
TONE = {"normal": schema.Value(normal=True), "increased": schema.Value(normal=False)}
GAIT = {
    "normal": schema.Value(normal=True),
    "ataxic": schema.Value(normal=False),
    "wide_based": schema.Value(normal=False, reads="wide-based"),
}
SIGN = {"named": "present", "denied": "absent", "values": YES_NO, "side": "abnormal"}


def _test(**keys: object) -> schema.Test:
    return schema.Test.model_validate({"side": "needed", "usual": True, **keys})


def _area(name: str, place: int, note: str, tests: dict[str, schema.Test]) -> schema.Area:
    return schema.Area(
        area=name,
        place=place,
        heading=schema.Heading(spoken=(), note=note),
        tests=tests,
        examples=(schema.Example(say="x", find=()),),
    )


def _areas() -> tuple[schema.Area, ...]:
    orientation = _test(
        name="orientation",
        sites=SELF,
        side="none",
        usual=False,
        values=TONE,
        note="Orientation to {site} {value}",
    )
    motor = {
        "motor": _test(name="motor", side="none", usual=False, values=TONE),
        "tone": _test(name="tone", sites=MUSCLES, values=TONE, note="Tone {value} {where}"),
        "strength": _test(
            name="strength", sites=MUSCLES, scale="mrc", order=60, note="Strength {value} {where}"
        ),
        "tongue": _test(
            name="tongue",
            side="abnormal",
            usual=False,
            order=80,
            values={"deviated": schema.Value(normal=False, note="Tongue points to the {side}")},
        ),
        "drift": _test(name="pronator drift", order=70, **SIGN),
    }
    clonus = _test(name="clonus", sites=ANKLE, usual=False, **SIGN)
    gait = _test(name="gait", side="none", values=GAIT, note="Gait {value}")
    return (
        _area("gait", 3, "Gait", {"gait": gait}),
        _area("mind", 0, "Mental status", {"orientation": orientation}),
        _area("motor", 1, "Motor", motor),
        _area("reflexes", 2, "Reflexes", {"clonus": clonus}),
    )


@pytest.fixture(scope="session")
def grammar() -> Grammar:
    mrc = schema.Scale(
        name="MRC grades",
        kind="grades",
        source="test",
        note="{grade}/5",
        grades=("0", "1", "2", "3", "4-", "4", "4+", "5"),
    )
    return Grammar(
        areas=_areas(),
        groups={},
        scales={"mrc": mrc},
        sets={},
        sides=schema.SideWords(right=(), left=(), both=(), other=()),
        speech=load_grammar().speech.model_copy(update={"degree": (), "edge": ()}),
        numbers=schema.NumbersFile(numbers={}, plus=(), minus=(), roman={}),
        misheard=schema.MisheardFile(misheard={}, sounds_like=()),
        requests=schema.RequestsFile.model_construct(),
        wording=schema.WordingFile(before_value=("better than",), after_value=("at",)),
    )


@pytest.fixture(scope="session")
def found() -> Callable[..., tuple[Finding, ...]]:
    """("strength deltoid both 5") to findings; "-" is null, "both" gives right and left."""

    def make(
        row: str,
        normal: bool | None = True,
        detail: tuple[str, ...] = (),
        said: tuple[Place, ...] = (),
        site_said: str | None = None,
    ) -> tuple[Finding, ...]:
        test, site, side, value = row.split(" ", 3)
        sides = {"both": ("right", "left"), "-": (None,)}.get(side, (side,))
        place = None if site == "-" else site
        return tuple(
            Finding(test, place, one, value, detail, normal, said, site_said)  # type: ignore[arg-type]
            for one in sides
        )

    return make
