"""What may not be said again of something else, since a part of it is still a question.

"Light touch reduced in the something of the foot, the rest normal. Pinprick the same": the same
as what was recorded is less than what was said.
"""

from __future__ import annotations

from collections.abc import Iterable

from dictate.model import Finding, Question


def partly_asked(findings: Iterable[Finding], questions: Iterable[Question]) -> bool:
    """Whether an open question is about the same test, in an utterance that gave these findings.

    Args:
        findings: What would be said again.
        questions: The open ones.
    """
    said = {(f.test, place.utterance) for f in findings for place in f.said}
    return any(
        (finding.test, place.utterance) in said
        for question in questions
        for choice in question.choices
        for finding in choice.findings
        for place in question.about
    )
