"""Letters of four lines, made of quarter blocks: to be read from two metres."""

from __future__ import annotations

from functools import lru_cache

#: The typeface; a letter is about two and a half columns wide.
_FACE = "smblock"
#: Lines of one row of letters.
ROWS = 4


def big_rows(text: str, width: int) -> tuple[tuple[str, ...], ...]:
    """Write a text in big letters.

    Args:
        text: Words in Latin letters, digits and signs.
        width: Columns.

    Returns:
        Rows of four lines each; empty where a word is too wide or a sign has no big form.
    """
    if not text.strip() or width < 1 or not text.isascii():
        return ()
    rows: list[tuple[str, ...]] = []
    row = ""
    for word in text.split():
        longer = f"{row} {word}" if row else word
        if _width(longer) <= width:
            row = longer
            continue
        if not row or _width(word) > width:
            return ()
        rows.append(_letters(row))
        row = word
    return (*rows, _letters(row))


def _width(text: str) -> int:
    return max(map(len, _letters(text)), default=0)


@lru_cache(maxsize=512)
def _letters(text: str) -> tuple[str, ...]:
    lines = [line.rstrip() for line in _face().renderText(text).split("\n")]
    return tuple((lines + [""] * ROWS)[:ROWS])


@lru_cache(maxsize=1)
def _face():  # type: ignore[no-untyped-def]
    from pyfiglet import Figlet

    return Figlet(font=_FACE, width=100_000)
