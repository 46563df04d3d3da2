"""What people would rather look at: a figure with the reflexes on it, and the strength table.

Each picture is a drawing (SVG 1.1, W3C) whose values are text in it, and the same in words for
whoever cannot see it. Where things stand on the figure is data (``common/pictures.yaml``). Nothing
is left out: what has no place on the figure stands below it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree import ElementTree

from dictate.grammar import Grammar
from dictate.grammar.names import capital, value_words
from dictate.grammar.schema import Figure, Marks
from dictate.grammar.wording import finding_phrase, target_label
from dictate.model import Finding, Record, Side
from dictate.render.drawing import (
    arrow,
    label,
    line,
    mirrored,
    new_drawing,
    pill,
    polyline,
    wrapped,
)
from dictate.render.sides_table import (
    MORE,
    OPEN,
    OPEN_WORDS,
    SidesRow,
    draw_table,
    sides_rows,
)
from dictate.render.unchecked import MARK

_LINE = 18
#: A site ("-" for none) and a side.
_Key = tuple[str, Side | None]


@dataclass(frozen=True, slots=True)
class Picture:
    """One picture: ``words`` say the same, ``drawing`` is the root element of an SVG file.

    A table has its ``rows`` as well, and what stands below it as ``notes``.
    """

    name: str
    title: str
    words: str
    drawing: ElementTree.Element
    rows: tuple[SidesRow, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Spot:
    """A value at its point; ``said`` is the same in words."""

    x: int
    y: int
    name: str
    value: str
    strong: bool
    arrow: str | None
    said: str


def pictures(record: Record, grammar: Grammar) -> tuple[Picture, ...]:
    """Draw every picture for which the record has something.

    Args:
        record: What was found and asked.
        grammar: Says where things stand, and gives the words.
    """
    found: list[Picture] = []
    if grammar.pictures.figure is not None:
        figure = _figure(record, grammar, grammar.pictures.figure)
        found += [figure] if figure is not None else []
    for table in grammar.pictures.tables:
        rows, notes = sides_rows(record, grammar, table.test)
        if rows:
            words = ". ".join([table.title, *(row.words for row in rows), *notes]) + "."
            drawing = draw_table(table.title, rows, notes, words)
            found.append(Picture(table.test, table.title, words, drawing, rows, notes))
    return tuple(found)


def svg(picture: Picture) -> str:
    """The picture as an SVG file."""
    return ElementTree.tostring(picture.drawing, encoding="unicode")


def _figure(record: Record, grammar: Grammar, figure: Figure) -> Picture | None:
    spots: list[_Spot] = []
    below: list[str] = []
    for marks in figure.marks:
        if marks.test in grammar.tests:
            placed, rest = _place(record, grammar, figure, marks)
            spots += placed
            below += rest
    if not spots and not below:
        return None
    if any(spot.value == OPEN for spot in spots):
        below.append(OPEN_WORDS)
    shown = [spot.said for spot in spots if spot.value != OPEN]
    asked = [spot.said for spot in spots if spot.value == OPEN]
    words = ". ".join([figure.title, *shown, *asked, *below]) + "."
    drawing = _draw(figure, spots, below, words)
    return Picture("figure", figure.title, words, drawing)


def _place(
    record: Record, grammar: Grammar, figure: Figure, marks: Marks
) -> tuple[list[_Spot], list[str]]:
    """Values at their points, and in words what has no point or more to it."""
    at: dict[_Key, list[Finding]] = {}
    below: list[str] = []
    for finding in record.findings:
        if finding.test != marks.test:
            continue
        key: _Key = (finding.site or "-", finding.side)
        if _point(figure, marks, *key) is None:
            below.append(_with_more(grammar, finding))
            continue
        at.setdefault(key, []).append(finding)
        if _more(finding):
            below.append(f"{MORE} {_with_more(grammar, finding)}")
    spots = [_spot(grammar, figure, marks, key, found) for key, found in at.items()]
    for key in dict.fromkeys(_asked(record, marks.test)):
        if key not in at and (point := _point(figure, marks, *key)) is not None:
            name = _name(grammar, marks.test, key[0])
            said = f"{_target(grammar, marks.test, *key)}: a question is open"
            spots.append(_Spot(*point, name, OPEN, True, None, said))
    return spots, below


def _asked(record: Record, test: str) -> list[_Key]:
    return [
        (finding.site or "-", finding.side)
        for question in record.questions
        for choice in question.choices
        for finding in choice.findings
        if finding.test == test
    ]


def _point(figure: Figure, marks: Marks, site: str, side: Side | None) -> tuple[int, int] | None:
    """Where it stands; None for a place without a point, and where the side was not said."""
    point = marks.at.get(site)
    if point is None:
        return None
    across, down = point
    middle = 2 * across == figure.width
    if middle != (side is None):
        return None
    return (figure.width - across if side == "left" else across), down


def _spot(
    grammar: Grammar,
    figure: Figure,
    marks: Marks,
    key: _Key,
    found: Sequence[Finding],
) -> _Spot:
    site, side = key
    point = _point(figure, marks, site, side)
    assert point is not None
    values = dict.fromkeys(value_words(grammar, marks.test, one.value) for one in found)
    more = MORE if any(_more(one) for one in found) else ""
    arrows = {marks.arrows.get(one.value) for one in found}
    said = ", ".join(_with_more(grammar, one) for one in found)
    return _Spot(
        *point,
        _name(grammar, marks.test, site),
        ", ".join(values) + more,
        any(one.normal is False for one in found),
        arrows.pop() if len(arrows) == 1 else None,
        said,
    )


def _name(grammar: Grammar, test: str, site: str) -> str:
    if site == "-":
        return grammar.tests[test].name
    spec = grammar.sites_of(test).get(site)
    return (spec.name if spec else None) or site.replace("_", " ")


def _target(grammar: Grammar, test: str, site: str, side: Side | None) -> str:
    real = None if site == "-" else site
    return capital(target_label(grammar, test, real, side))


def _more(finding: Finding) -> bool:
    return bool(finding.detail) or finding.checked is False


def _with_more(grammar: Grammar, finding: Finding) -> str:
    """The finding in words with all its details, whatever the phrase has room for."""
    phrase = finding_phrase(grammar, finding)
    details = [text for text in finding.detail if text.casefold() not in phrase.casefold()]
    details += [MARK] if finding.checked is False else []
    return f"{phrase} ({', '.join(details)})" if details else phrase


def _draw(
    figure: Figure, spots: Sequence[_Spot], below: Sequence[str], words: str
) -> ElementTree.Element:
    lines = [piece for text in below for piece in wrapped(text, figure.width - 24)]
    root = new_drawing(figure.width, figure.height + _LINE * len(lines), words)
    x, y, radius = figure.head
    # one opacity for the whole, so that limbs that overlap are no darker there
    body = line(root, "g", stroke="currentColor", opacity=0.13, fill="none")
    line(body, "circle", cx=x, cy=y, r=radius, stroke_width=9)
    for stroke in figure.body:
        polyline(body, stroke)
        if any(2 * point[0] != figure.width for point in stroke):
            polyline(body, mirrored(stroke, figure.width))
    label(root, figure.width / 2, 24, figure.title, 14, "middle", strong=True)
    label(root, 12, 24, "patient's right", size=14)
    label(root, figure.width - 12, 24, "patient's left", size=14, anchor="end")
    for spot in spots:
        _draw_spot(root, figure, spot)
    for number, text in enumerate(lines):
        label(root, 12, figure.height + _LINE * number + 4, text, size=13)
    return root


def _draw_spot(root: ElementTree.Element, figure: Figure, spot: _Spot) -> None:
    half = pill(root, spot.x, spot.y, spot.value, spot.strong, arrow_room=spot.arrow is not None)
    if spot.arrow is not None:
        arrow(root, spot.x + half - 12, spot.y, up=spot.arrow == "up")
    left_of = 2 * spot.x <= figure.width
    anchor = "end" if left_of else "start"
    label(root, spot.x + (-half - 6 if left_of else half + 6), spot.y + 4, spot.name, 12, anchor)
