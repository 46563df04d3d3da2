"""A table of one test, right and left: as rows for any output, and as a drawing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree import ElementTree

from dictate.grammar import Grammar
from dictate.grammar.names import capital, site_words, value_words
from dictate.model import Finding, Record
from dictate.render.drawing import LETTER, label, line, new_drawing, wrapped
from dictate.render.unchecked import MARK

#: Stands where nothing was recorded of a side.
NOTHING = "–"
#: Stands where a question is open, and what it means.
OPEN = "?"
OPEN_WORDS = "? a question about this is open"
#: Stands after a value about which more was said, below the table.
MORE = "*"
_ROW = 24
_NOTE = 18
_VALUE_WIDTH = 90


@dataclass(frozen=True, slots=True)
class Cell:
    """One value; ``abnormal`` where any of what it says is."""

    text: str
    abnormal: bool = False


@dataclass(frozen=True, slots=True)
class SidesRow:
    """One site: right and left, or ``middle`` where it has no sides."""

    name: str
    right: Cell | None = None
    left: Cell | None = None
    middle: Cell | None = None

    @property
    def words(self) -> str:
        """The row as a phrase ("Biceps: right 4/5, left 5/5")."""
        if self.middle is not None and self.right is None and self.left is None:
            return f"{self.name}: {self.middle.text}"
        cells = [
            f"{side} {cell.text}"
            for side, cell in (("right", self.right), ("left", self.left))
            if cell is not None
        ]
        middle = [self.middle.text] if self.middle is not None else []
        return f"{self.name}: {', '.join([*middle, *cells])}"


def sides_rows(
    record: Record, grammar: Grammar, test: str
) -> tuple[tuple[SidesRow, ...], tuple[str, ...]]:
    """The table's rows in the order of the grammar's sites, and what stands below it.

    Args:
        record: What was found and asked.
        grammar: Knows the sites and their names.
        test: Id of the test.
    """
    if test not in grammar.tests:
        return (), ()
    cells: dict[tuple[str, str], dict[str | None, list[Finding]]] = {}
    for finding in record.findings:
        if finding.test == test:
            key = (finding.site or "", _row_name(grammar, finding))
            cells.setdefault(key, {}).setdefault(finding.side, []).append(finding)
    asked = _asked(record, grammar, test)
    for key, _ in asked:
        cells.setdefault(key, {})
    order = {site: number for number, site in enumerate(grammar.sites_of(test))}
    rows = []
    for key in sorted(cells, key=lambda key: (order.get(key[0], -1), key[1])):
        found = {side: _cell(grammar, here) for side, here in cells[key].items()}
        for side in {side for other, side in asked if other == key} - set(found):
            found[side] = Cell(OPEN, True)
        name = capital(key[1])
        rows.append(SidesRow(name, found.get("right"), found.get("left"), found.get(None)))
    return tuple(rows), tuple(_notes(grammar, cells, bool(asked)))


def _asked(record: Record, grammar: Grammar, test: str) -> list[tuple[tuple[str, str], str | None]]:
    """Places that an open question is about and that have no finding."""
    return [
        ((found.site or "", _row_name(grammar, found)), found.side)
        for question in record.questions
        for choice in question.choices
        for found in choice.findings
        if found.test == test
    ]


def _row_name(grammar: Grammar, finding: Finding) -> str:
    if finding.site is None:
        return grammar.tests[finding.test].name
    return site_words(grammar, finding.test, finding.site, finding.site_said)


def _cell(grammar: Grammar, found: Sequence[Finding]) -> Cell:
    values = dict.fromkeys(value_words(grammar, one.test, one.value) for one in found)
    more = MORE if any(one.detail or one.checked is False for one in found) else ""
    return Cell(", ".join(values) + more, any(one.normal is False for one in found))


def _notes(
    grammar: Grammar, cells: dict[tuple[str, str], dict[str | None, list[Finding]]], asked: bool
) -> list[str]:
    notes = []
    for (_, name), sides in cells.items():
        for side, found in sides.items():
            for one in found:
                more = [*one.detail, *([MARK] if one.checked is False else [])]
                if more:
                    value = value_words(grammar, one.test, one.value)
                    where = f"{side} {name}" if side else name
                    notes.append(f"{MORE} {capital(where)} {value}: {', '.join(more)}")
    return [*notes, OPEN_WORDS] if asked else notes


def draw_table(
    title: str, rows: Sequence[SidesRow], notes: Sequence[str], words: str
) -> ElementTree.Element:
    """The table as a drawing.

    Args:
        title: Its heading.
        rows: What ``sides_rows`` gave.
        notes: What stands below it.
        words: The whole in words.
    """
    longest = max(len(row.name) for row in rows)
    cells = [cell for row in rows for cell in (row.right, row.left, row.middle) if cell]
    widest = max(len(cell.text) for cell in cells)
    name_width = int(max(120, longest * 14 * LETTER + 16))
    value_width = int(max(_VALUE_WIDTH, widest * 14 * LETTER + 20))
    width = name_width + 2 * value_width
    lines = [piece for note in notes for piece in wrapped(note, width - 16)]
    root = new_drawing(width, 44 + _ROW * len(rows) + _NOTE * len(lines), words)
    right, left = name_width + value_width // 2, name_width + value_width * 3 // 2
    label(root, 8, 24, title, 14, strong=True)
    label(root, right, 24, "right", 14, "middle", strong=True)
    label(root, left, 24, "left", 14, "middle", strong=True)
    for number, row in enumerate(rows):
        top = 36 + _ROW * number
        line(
            root, "line", x1=8, x2=width - 8, y1=top, y2=top,
            stroke="currentColor", stroke_opacity=0.25,
        )  # fmt: skip
        label(root, 8, top + 17, row.name, 14)
        for x, cell in _cells(row, right, left):
            label(root, x, top + 17, cell.text, 14, "middle", cell.abnormal)
    bottom = 36 + _ROW * len(rows)
    for number, note in enumerate(lines):
        label(root, 8, bottom + _NOTE * (number + 1), note, 13)
    return root


def _cells(row: SidesRow, right: int, left: int) -> list[tuple[float, Cell]]:
    """The row's values with where they stand; one without a side between the columns."""
    if row.middle is not None and row.right is None and row.left is None:
        return [((right + left) / 2, row.middle)]
    sides = [(float(right), row.right or Cell(NOTHING)), (float(left), row.left or Cell(NOTHING))]
    return sides if row.middle is None else [*sides, ((right + left) / 2, row.middle)]
