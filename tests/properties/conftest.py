"""Settings of hypothesis for the laws: no deadline (the first call builds the reader).

A longer hunt: set LAWS_EXAMPLES to the number of examples of each law.
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
)
settings.load_profile("laws")
