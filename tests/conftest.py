"""Laws run the same examples each time, so that a red run is red for the change at hand.

A hunt for new counterexamples: LAWS_HUNT=1 draws afresh (and LAWS_EXAMPLES sets how many).
"""

from __future__ import annotations

import os
import subprocess

import pytest
from hypothesis import settings

settings.register_profile("fixed", derandomize=not os.environ.get("LAWS_HUNT"), deadline=None)
settings.load_profile("fixed")


@pytest.fixture
def small_disk(tmp_path):
    """Mounts an empty disk of so many kilobytes; skips where that is not allowed."""
    mounted = []

    def mount(kilobytes):
        folder = tmp_path / "small"
        folder.mkdir()
        command = ["mount", "-t", "tmpfs", "-o", f"size={kilobytes}k", "none", str(folder)]
        if subprocess.run(command, capture_output=True, check=False).returncode:
            pytest.skip("a small disk cannot be mounted here (that takes root)")
        mounted.append(folder)
        return folder

    yield mount
    for folder in mounted:
        subprocess.run(["umount", str(folder)], check=False)
