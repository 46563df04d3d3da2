"""Chart lines as logMAR.

Sources: Bach M, Visual Acuity Cheat Sheet, University of Freiburg (logMAR is minus the logarithm of
the decimal acuity; printed conversions); ISO 8596 (steps of a tenth of a logarithm). Printed lines
are rounded, so a step may be off by 0.005.
"""

from __future__ import annotations

import math

import pytest

from dictate.render.scores import logmar

TOLERANCE = 0.005 + 1e-9


@pytest.mark.parametrize(
    ("line", "printed"),
    [
        ("20/10", -0.3),
        ("20/20", 0.0),
        ("20/25", 0.1),
        ("20/40", 0.3),
        ("20/63", 0.5),
        ("20/100", 0.7),
        ("20/200", 1.0),
        ("20/400", 1.3),
        ("6/3.8", -0.2),
        ("6/6", 0.0),
        ("6/9.5", 0.2),
        ("6/60", 1.0),
        ("3/60", 1.3),
        ("20/30", 0.18),
        ("20/800", 1.6),
    ],
)
def test_printed_lines(line: str, printed: float) -> None:
    assert logmar(line) == pytest.approx(printed, abs=TOLERANCE)


def test_every_line_of_the_reference_table(reference) -> None:
    table = reference("visual_acuity.yaml")
    steps = table["chart_steps"]
    rows = [(step[unit], step["logmar"]) for step in steps for unit in ("feet", "metres")]
    rows += [(row["line"], row["logmar"]) for row in table["older_chart_lines"]]
    assert len(rows) > 30
    for line, printed in rows:
        assert logmar(line) == pytest.approx(printed, abs=TOLERANCE), line


def test_feet_and_metres_of_one_step_agree(reference) -> None:
    for row in reference("visual_acuity.yaml")["chart_steps"]:
        assert logmar(row["feet"]) == pytest.approx(logmar(row["metres"]), abs=0.01)


def test_the_mean_of_two_lines_is_taken_in_logmar() -> None:
    """The mean of 20/20 and 20/200 is 0.5 (about 20/63), as the cheat sheet warns."""
    lines = [logmar("20/20"), logmar("20/200")]
    assert None not in lines
    assert math.fsum(lines) / 2 == pytest.approx(0.5)
    assert logmar("20/63") == pytest.approx(0.5, abs=TOLERANCE)


def test_no_minus_zero() -> None:
    assert math.copysign(1, logmar("20/20") or 0.0) == 1


@pytest.mark.parametrize(
    "line", ["20/0", "0/20", "2020", "", "CF", "20/", "/20", "20/40-1", "a/b", "-20/40"]
)
def test_what_is_no_line_has_no_logmar(line: str) -> None:
    assert logmar(line) is None


@pytest.mark.parametrize(
    "line", ["20/20", "20/25", "20/40", "20/200", "20/400", "6/6", "6/9", "6/18", "6/60"]
)
def test_a_line_heard_is_the_line_converted(hear, line: str) -> None:
    (finding,) = hear(f"visual acuity {line} in the right eye").findings
    assert finding.value == line
    assert logmar(finding.value) == logmar(line)


@pytest.mark.parametrize("line", ["20/0", "0/20", "20/21", "2020/20"])
def test_no_line_of_any_chart_is_asked(hear, line: str) -> None:
    record = hear(f"visual acuity {line} in the right eye")
    assert not record.findings
    assert [question.kind for question in record.questions] in (["scale"], ["value"])
