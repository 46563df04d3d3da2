"""The view as lines of a terminal, whatever its size: what matters most is never left out.

From the top: whether it listens, what is wrong, the question, the last words with what came of
them, the findings of this part, what is still missing. With room to spare the question, then the
words, are written in big letters. Every state is told in words, so nothing hangs on colour.
"""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from dictate.audio.source import clock
from dictate.grammar.load import Grammar
from dictate.listen.big_letters import big_rows
from dictate.listen.replies import choice_words
from dictate.listen.state_words import status_words
from dictate.listen.view import View

#: A screening examination takes so long (minutes).
USUAL_MIN = (10, 15)
#: The quietest level that the meter shows, in dBFS, and its length in columns.
_FLOOR_DBFS, _CELLS = -60.0, 12
#: At most so many rows of big letters for one text.
_BIG_ROWS = 3
#: With no more lines than this left, the findings come before what is missing.
_SCARCE = 3
#: Choices that are shown with a question.
_CHOICES = 12

Lines = list[Text]


def draw(view: View, grammar: Grammar, console: Console, width: int, height: int) -> Lines:
    """Draw the view.

    Args:
        view: What is to be shown.
        grammar: Whose wordings the hints use.
        console: Wraps the lines and knows which signs the terminal has.
        width: Columns.
        height: Lines.

    Returns:
        At most ``height`` lines of at most ``width`` columns.
    """
    draft = _Draft(console, width)
    top = [*_status(view, grammar, draft), *_trouble(view, draft)]
    question, words = _question(view, grammar, draft), _words(view, draft)
    noted, missing = _noted(view, draft), _missing(view, draft)
    left = height - len(top) - len(question) - len(words)
    # a few lines of findings and of what is missing come before any big letters
    kept = min(len(noted), 5) + min(len(missing), 3)
    room = left - kept
    top, room = _warned(view, grammar, top, draft, room)
    question, room = _enlarged(question, draft.enlarged(_prompt(view), "bold"), room)
    words, room = _enlarged(words, draft.enlarged(_final_words(view), "bold"), room)
    left = height - len(top) - len(question) - len(words)
    some_missing = min(len(missing), max(2, left - len(noted))) if left > _SCARCE else 0
    noted = _last(noted, left - some_missing)
    lines = [*top, *question, *words, *noted]
    lines += missing[: max(0, height - len(lines))]
    for line in lines:
        line.rstrip()
    return lines[:height]


def _warned(
    view: View, grammar: Grammar, top: Lines, draft: _Draft, room: int
) -> tuple[Lines, int]:
    """The state in big letters while nobody is heard: who dictates then must see it from afar."""
    if view.listening:
        return top, room
    big = draft.enlarged(status_words(view, grammar)[0], "bold red")
    if not big or len(big) > room:
        return top, room
    return [top[0], *big, *top[1:]], room - len(big)


class _Draft:
    """Makes lines of texts."""

    def __init__(self, console: Console, width: int) -> None:
        self._console, self.width = console, max(1, width)
        self.unicode = (console.encoding or "").lower().startswith("utf")

    def wrap(self, text: str, style: str = "", indent: str = "") -> Lines:
        """A paragraph; lines after the first are indented."""
        words = Text(text, style=style)
        room = max(1, self.width - len(indent))
        lines = list(words.wrap(self._console, room))
        return [line if i == 0 else Text(indent) + line for i, line in enumerate(lines)]

    def rule(self, title: str = "") -> Text:
        """A line across, with what stands below it."""
        sign = "─" if self.unicode else "-"
        start = f"{sign}{sign} {title} " if title else ""
        return Text((start + sign * self.width)[: self.width], style="dim" if not title else "")

    def enlarged(self, text: str, style: str) -> Lines:
        """The text in big letters; empty where it cannot be."""
        if not self.unicode or self.width < 60:
            return []
        rows = big_rows(text, self.width - 1)
        if len(rows) > _BIG_ROWS:
            return []
        return [Text(line, style=style) for row in rows for line in row]


def _enlarged(block: Lines, big: Lines, room: int) -> tuple[Lines, int]:
    """The block with big letters in place of its text (all between its title and its last
    lines), if there is room for them."""
    if not block or not big:
        return block, room
    small = [i for i, line in enumerate(block) if line.style == "bold"]
    more = len(big) - len(small)
    if more > room or not small:
        return block, room
    return [*block[: small[0]], *big, *block[small[-1] + 1 :]], room - more


# ---- the blocks


def _status(view: View, grammar: Grammar, draft: _Draft) -> Lines:
    state, hint = status_words(view, grammar)
    time = clock(view.elapsed_s)
    usual = f"{time} of {USUAL_MIN[0]} to {USUAL_MIN[1]} min"
    if view.elapsed_s > USUAL_MIN[1] * 60:
        usual = f"{time}, more than {USUAL_MIN[1]} min"
    meter = _meter(view, draft.unicode)
    color = "bold reverse green" if view.listening else "bold reverse red"
    head = Text(f" {state} ", style=color)
    for middle, end in ((meter, usual), (meter, time), ("", time), ("", "")):
        rest = f"  {middle}" if middle else ""
        gap = draft.width - len(head.plain) - len(rest) - len(end) - 1
        if gap >= 1 or not end:
            break
    line = head + Text(rest + " " * max(0, gap) + end)
    line.truncate(draft.width)
    lines = [line]
    if not middle and meter:
        lines.append(Text(meter[: draft.width]))
    return [*lines, *draft.wrap(hint)]


def meter_cells(level_dbfs: float) -> int:
    """How many cells of the meter a level fills."""
    share = (level_dbfs - _FLOOR_DBFS) / -_FLOOR_DBFS
    return min(_CELLS, max(0, round(share * _CELLS)))


def _meter(view: View, unicode: bool) -> str:
    if view.level_dbfs is None:
        return ""
    cells = meter_cells(view.level_dbfs)
    full, empty = ("■", "·") if unicode else ("#", ".")
    return f"sound {full * cells}{empty * (_CELLS - cells)}"


def _trouble(view: View, draft: _Draft) -> Lines:
    return draft.wrap(f"!! {view.trouble}", "bold red", "   ") if view.trouble else []


def _prompt(view: View) -> str:
    return _ascii(view.question.prompt) if view.question is not None else ""


def _question(view: View, grammar: Grammar, draft: _Draft) -> Lines:
    if view.question is None:
        return []
    more = f", {view.waiting} more" if view.waiting else ""
    title = f"QUESTION{more}" if view.put else f"OPEN QUESTION{more}"
    lines = [draft.rule(title), *draft.wrap(view.question.prompt, "bold")]
    choices = choice_words(view.question, grammar)
    shown = ", ".join(choices[:_CHOICES]) + (" ..." if len(choices) > _CHOICES else "")
    if view.put:
        lines += draft.wrap(f"Say: {shown + ', ' if shown else ''}skip, later, repeat", "", "  ")
    elif shown:
        lines += draft.wrap(f"Choices: {shown}", "", "  ")
    return lines


def _final_words(view: View) -> str:
    return "" if view.provisional else _ascii(view.words)


def _words(view: View, draft: _Draft) -> Lines:
    """The last words; in brackets while they may change."""
    if view.said:
        return [draft.rule("YOU ASKED"), *draft.wrap(view.said, "bold")]
    words = view.words or "-"
    title = "HEARING" if view.provisional else "HEARD"
    style = "italic" if view.provisional else "bold"
    lines = [
        draft.rule(title),
        *draft.wrap(f"[ {words} ... ]" if view.provisional else words, style),
    ]
    sign, gone = ("+", "-") if view.sure else ("?", "?-")
    lines += [line for text in view.added for line in draft.wrap(f"{sign} {text}", "", "  ")]
    lines += [
        line for text in view.removed for line in draft.wrap(f"{gone} no more: {text}", "", "  ")
    ]
    if view.outcome:
        lines += draft.wrap(f"({view.outcome})", "dim")
    return lines


def _noted(view: View, draft: _Draft) -> Lines:
    if not view.heading:
        return []
    lines = [draft.rule(view.heading.upper())]
    return lines + [line for text in view.noted for line in draft.wrap(text, "", "  ")]


def _missing(view: View, draft: _Draft) -> Lines:
    if not view.missing:
        return []
    title = f"NOT MENTIONED YET: {len(view.missing)}"
    return [draft.rule(title), *draft.wrap(", ".join(view.missing), "dim")]


def _last(block: Lines, room: int) -> Lines:
    """The title and the newest lines of a block."""
    if len(block) <= room:
        return block
    return [block[0], *block[len(block) - room + 1 :]] if room > 1 else []


def _ascii(text: str) -> str:
    """Signs that big letters lack as those that they have."""
    return text.translate(str.maketrans("“”’−–", '""\'--'))


def fitted(lines: Sequence[Text], height: int) -> Text:
    """Lines as one text of exactly so many lines."""
    padded = [*lines, *[Text()] * max(0, height - len(lines))]
    return Text("\n").join(padded[:height])
