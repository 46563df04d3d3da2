"""Which findings of a recording were heard by more than one listener."""

from __future__ import annotations

from dataclasses import replace

from dictate.model import Finding, Record, Utterance


def mark_checked(record: Record) -> Record:
    """Mark each finding that was heard; what was typed has no mark.

    A finding is checked if a second listener was there for all that it was said in. What the two
    did not agree on is a question and no finding (``unsure.py``). Where somebody had a hand in it,
    it has no mark: the examiner said so in writing.

    Args:
        record: Any record.
    """
    heard = {utterance.id: utterance for utterance in record.utterances}
    if not any(utterance.words for utterance in record.utterances):
        return record
    findings = tuple(replace(f, checked=_checked(f, heard)) for f in record.findings)
    return replace(record, findings=findings)


def _checked(finding: Finding, heard: dict[str, Utterance]) -> bool | None:
    said = [heard[place.utterance] for place in finding.said if place.utterance in heard]
    spoken = [utterance for utterance in said if utterance.words]
    if not spoken or any(utterance.hand for utterance in said):
        return None
    return all(len(utterance.hearings) > 1 for utterance in spoken)
