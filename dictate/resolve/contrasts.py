"""What stands against something else: a value that the words beside it may turn to the other side.

"Right biceps jerk absent, not the left": the left is not what a denied jerk would be, which is
absent as well. "Left knee jerk brisker than the right, which is two plus": the right is.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.statement import Span, Statement
from dictate.model import Finding
from dictate.resolve.context import Entry


def in_contrast(
    sentence: Sentence, st: Statement, findings: Sequence[Finding], taken: Sequence[Entry]
) -> bool:
    """Whether a denial would find just what was found of the other side, and not denied there.

    Args:
        sentence: The sentence that the statement stands in.
        st: A statement.
        findings: What it would find.
        taken: What the sentence has found so far.
    """
    if not (st.copied and st.denied) or st.values:
        return False
    at = sentence.statements.index(st)
    before = sentence.statements[at - 1] if at else None
    if before is None or before.denied or not before.values:
        return False
    found = {(entry.finding.test, entry.finding.value) for entry in taken}
    return any((finding.test, finding.value) in found for finding in findings)


def of_the_compared(reading: Reading, st: Statement, relative: Collection[str]) -> bool:
    """Whether a value follows a comparison and a word that speaks of what was compared with.

    Args:
        reading: The utterance.
        st: A statement.
        relative: Such words ("which").
    """
    starts = [value.spans[0][0] for value in st.values if value.spans]
    ends = [end for _, end in st.compared]
    if not (starts and ends) or min(starts) < max(ends):
        return False
    return not set(reading.norms((max(ends), min(starts)))).isdisjoint(relative)


def excepted_details(sentence: Sentence, st: Statement) -> list[Span]:
    """ "Eye movements normal except upgaze": such words with the details that they except.

    Args:
        sentence: The sentence that the statement stands in.
        st: A statement.
    """
    row, starts = sentence.row, {start for start, _ in st.details}
    found: list[Span] = []
    for i, item in enumerate(row):
        after = [x for x in row[i + 1 :] if x.kind not in {"glue", "degree"}][:1]
        if item.kind == "except" and after and after[0].start in starts:
            found.append((item.start, after[0].end))
    return found
