"""What a typist puts into a transcript and nobody spoke: "<unsure>", "[inaudible]", "Doctor:"."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Literal

Speaker = Literal["examiner", "patient"]

#: One tag in angle brackets, or one word or two in square ones; a name inside a tag is no word.
_MARK = re.compile(r"</?\s*[A-Za-z][\w-]{0,40}\s*/?>|\[\s*[A-Za-z][\w ?-]{0,40}\]")
#: What stands for it: a sign that nobody knows, so that no statement runs across a gap.
_GAP = "\u00a4"


def unmarked(text: str, label: int = 0) -> str:
    """The text with a sign of the same length for each mark, so that places stay right.

    Args:
        text: An utterance as a transcript has it.
        label: Characters at its beginning that name the speaker.
    """
    text = " " * label + text[label:]
    return _MARK.sub(lambda match: _GAP + " " * (len(match.group()) - 1), text)


#: The opening of a line that may name who speaks, after a time in brackets.
_LABEL = re.compile(r"\s*(?:[\[(][\d:. ]+[\])]\s*)?([A-Za-z][A-Za-z. ]{0,18}?)\s*:(?=\s)")


def speaker_of(text: str, labels: Mapping[str, Speaker]) -> tuple[Speaker | None, int]:
    """Who speaks by the opening of the line, and how many characters name it.

    Args:
        text: An utterance as a transcript has it.
        labels: Folded words that name a speaker.
    """
    found = _LABEL.match(text)
    who = labels.get(found.group(1).lower().strip(". ")) if found else None
    return (who, found.end()) if found and who else (None, 0)
