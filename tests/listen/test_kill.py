"""kill -9 at random moments: what had been said before is in the record afterwards."""

from __future__ import annotations

import importlib.util
import random
import sys
from pathlib import Path

import pytest

from dictate.recognise.model_store import find_model

_BENCH = Path(__file__).parents[1] / "benchmarks" / "bench_kill.py"
_spec = importlib.util.spec_from_file_location("bench_kill", _BENCH)
bench = importlib.util.module_from_spec(_spec)
sys.modules["bench_kill"] = bench  # a dataclass looks its module up
_spec.loader.exec_module(bench)


@pytest.fixture(scope="module")
def expected(tmp_path_factory):
    if find_model() is None:
        pytest.skip("there is no speech model on this computer; 'dictate setup' brings it")
    found = bench.whole(tmp_path_factory.mktemp("whole") / "d")
    assert len(found) > 10
    return found


@pytest.mark.parametrize("moment", [random.Random(7).uniform(0.5, 11) for _ in range(1)] + [9.3])
def test_nothing_that_was_said_is_lost(expected, tmp_path, moment):
    result = bench.kill_once(tmp_path / "d", moment, expected)
    assert result.ended > 0 or moment < 1
    assert result.missing == ()
    assert result.lost_s / bench.SPEED < 1.0
