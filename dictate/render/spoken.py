"""The words that gave a finding, as they were at the time, and what was done to them by hand."""

from __future__ import annotations

from dictate.model import Finding, Hand, Record, Utterance
from dictate.render.standing import Stated

#: How the words of an utterance are named, by what was done to it by hand.
_HOW: dict[Hand | None, str] = {
    None: "said",
    "added": "entered by hand",
    "corrected": "said, words put right by hand",
}


class Spoken:
    """The utterances of a record, as they were in it and in each of its addenda."""

    def __init__(self, record: Record) -> None:
        """Take the record's own words first, then those that each addendum changed."""
        self._versions: list[dict[str, Utterance]] = [{u.id: u for u in record.utterances}]
        for addendum in record.examined.addenda if record.examined else ():
            new = {utterance.id: utterance for utterance in addendum.utterances}
            self._versions.append({**self._versions[-1], **new})

    def words(self, row: Stated) -> dict[Hand | None, str]:
        """The words by what was done to them; parts that stand apart are joined by dots."""
        found: dict[Hand | None, dict[str, None]] = {}
        for place in row.finding.said:
            utterance = self._versions[row.addendum or 0].get(place.utterance)
            words = " ".join(utterance.text[place.start : place.end].split()) if utterance else ""
            if utterance and words:
                found.setdefault(utterance.hand, {})[words] = None
        return {hand: " ... ".join(words) for hand, words in found.items()}

    def said(self, row: Stated) -> str:
        """The words, each with how they came ('said: "left toe up"')."""
        return "; ".join(f'{_HOW[hand]}: "{words}"' for hand, words in self.words(row).items())


def heard(finding: Finding) -> bool:
    """Whether it comes from a recording."""
    return any(place.start_s is not None for place in finding.said)
