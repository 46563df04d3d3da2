"""A test again, of the other side: "Tone increased in the left leg. Tone on the right normal."

The same part of the body may be meant, or all of that side: which, is asked.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from dictate.grammar.names import WHOLE
from dictate.interpret.statement import Statement
from dictate.model import OTHER_SIDE

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver


def sided_apart(resolver: Resolver, st: Statement) -> bool:
    """Whether one side is said of a test that this utterance found in a part of the other side.

    Args:
        resolver: The narration so far.
        st: A statement that names no part.
    """
    sides = {st.side, *(target.side for target in st.targets)} - {None}
    if len(sides) != 1 or st.rest or st.every:
        return False
    tests = {r.test for target in st.targets for r in target.tests}
    other = OTHER_SIDE.get(next(iter(sides)) or "")
    now = len(resolver.utterances)
    return any(
        entry.utterance == now
        and entry.finding.test in tests
        and entry.finding.side == other
        and entry.finding.site not in (None, WHOLE)
        for entry in resolver.entries
    )
