"""Offsets and cut lengths against worked examples from pipe-fitting texts."""

from __future__ import annotations

from fractions import Fraction

import pytest
from coilwright import compile_text
from coilwright.catalogue.dimensions import thread_engagement, threaded_fitting
from coilwright.model.measured import Measured
from coilwright.model.size import size

FILE = """\
service chilled-water
    water
    design 125 psi, 42 degF to 90 degF
    spec {spec}
unit AH-1, airflow left to right
    coil CC on chilled-water
        supply low, {line} male thread, at up 0 in
        return high, {line} male thread
    supply to CC, {line}
        from main CHS
{steps}
    return from CC, {line}
        to main CHR
"""


def measured(steps: list[str], line: str = "4", spec: str = "steel-welded") -> Measured:
    made = compile_text(FILE.format(steps="\n".join(f"        {s}" for s in steps), line=line, spec=spec))
    found = made.hookups[0].measured
    assert found is not None
    return found


def travel(found: Measured) -> float:
    (straight,) = [s for s in found.straights if s.heading == "offset"]
    assert isinstance(straight.centres, Fraction)
    return float(straight.centres)


def test_simple_offset() -> None:
    # S. Dibble, Elements of Plumbing (1918), Measurements, fig. 76: 12 in offset, 45 degree fittings, 12 x 1.41 is
    # 16.92.
    found = measured(["left 2 ft", "up 12 in, at 45", "left 2 ft"])
    assert travel(found) == pytest.approx(16.92, abs=12 * 0.005)  # 1.41 is the root of two to two places


def test_rolling_offset() -> None:
    # Apprentices' notes of a sprinkler fitters' local (602), rolling offsets: rise 30-5/8, roll 17-5/8, true offset
    # 35.3346, read as 35-3/8; x 1.414 = 50.02.
    found = measured(["left 5 ft", "up 30-5/8 in, toward 17-5/8 in, at 45", "left 5 ft"])
    assert travel(found) == pytest.approx(50.02, abs=0.06)
    start = float(found.marks["main CHS", "tap 1"][0])
    assert start == pytest.approx(120 + 35.3346, abs=1 / 64)


def test_centre_to_centre_less_fittings_plus_engagements() -> None:
    # US Army Engineer School, subcourse EN5111, Plumbing II: length of pipe = centre to centre, less both fitting
    # dimensions, plus both engagements.
    elbow, thread = threaded_fitting("ASME B16.3", "elbow_90", size("1")), thread_engagement(size("1"))
    assert elbow is not None
    assert thread is not None
    found = measured(["up 2 ft", "left 3 ft", "up 2 ft"], "1", "steel-threaded")
    (middle,) = [s for s in found.straights if s.line == "supply to CC" and s.heading == "left"]
    assert found.cuts[middle.run] == 36 - 2 * elbow + 2 * thread.makeup


def test_two_published_engagements_differ() -> None:
    """The thread make-up of the table here, and that of another handbook: cuts differ by twice as much at most."""
    # Pipeline Rules of Thumb Handbook, page 98, normal engagement.
    other = {"1/4": "3/8", "3/8": "3/8", "1/2": "7/16", "3/4": "9/16", "1": "11/16", "1-1/4": "11/16", "1-1/2": "11/16"}
    apart = []
    for label, engagement in other.items():
        ours = thread_engagement(size(label))
        assert ours is not None
        apart.append(Fraction(engagement) - ours.makeup)
    assert min(apart) >= 0
    assert max(apart) == Fraction(1, 8)
