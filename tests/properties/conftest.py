"""Settings of hypothesis for the laws: no deadline (the first call builds the reader).

A longer hunt: LAWS_HUNT=1, and LAWS_EXAMPLES for the number of examples of each law.
"""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

settings.register_profile(
    "laws",
    deadline=None,
    max_examples=int(os.environ.get("LAWS_EXAMPLES", "120")),
    suppress_health_check=[HealthCheck.too_slow],
    print_blob=True,
    derandomize=not os.environ.get("LAWS_HUNT"),
)
settings.load_profile("laws")
