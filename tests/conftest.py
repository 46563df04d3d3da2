"""Laws run the same examples each time, so that a red run is red for the change at hand.

A hunt for new counterexamples: LAWS_HUNT=1 draws afresh (and LAWS_EXAMPLES sets how many).
"""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("fixed", derandomize=not os.environ.get("LAWS_HUNT"), deadline=None)
settings.load_profile("fixed")
