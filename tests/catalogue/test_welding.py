"""Weld metal against geometry worked out another way, and the laws that fillers keep."""

import math
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest
from coilwright.catalogue.dimensions import PipeWall, steel_pipe
from coilwright.catalogue.read_welding import PLAIN_WELDING
from coilwright.catalogue.tables import decimal, table
from coilwright.catalogue.welding import (
    Groove,
    cap_volume,
    deposition,
    fillet_volume,
    groove,
    groove_volume,
    layers,
    slip_on_legs,
)
from coilwright.model.size import SIZES, size
from coilwright.model.welding import PASSES, Filler
from hypothesis import given, settings
from hypothesis import strategies as st

SIXTEENTH, EIGHTH = Fraction(1, 16), Fraction(1, 8)
PIPES = [pipe for nps in SIZES for s in ("10", "40", "80", "STD", "XS") if (pipe := steel_pipe(nps, s))]
ANGLE = st.fractions(min_value=20, max_value=45, max_denominator=2)
SMALL = st.fractions(min_value=0, max_value=Fraction(1, 4), max_denominator=32)


@st.composite
def grooves(draw: st.DrawFn) -> tuple[Fraction, Groove]:
    pipe = draw(st.sampled_from(PIPES))
    return pipe.od, Groove(pipe.wall, (draw(ANGLE), draw(ANGLE)), draw(SMALL), draw(SMALL), draw(SMALL))


def turned(width: Callable[[float], float], low: float, high: float, steps: int = 500) -> float:
    """The volume of a section so wide at each radius, turned about the axis: sums of thin rings."""
    step = (high - low) / steps
    radii = (low + (n + 0.5) * step for n in range(steps))
    return sum(2 * math.pi * radius * width(radius) * step for radius in radii)


@given(grooves())
@settings(deadline=None)
def test_a_groove_is_the_sum_of_its_rings(made: tuple[Fraction, Groove]) -> None:
    od, cut = made
    outside, inside = float(od) / 2, float(od) / 2 - float(cut.wall)
    gap, face, spread, mouth = float(cut.gap), float(cut.root_face), cut.spread, cut.width

    def width(radius: float) -> float:
        return gap + spread * max(0.0, radius - inside - face)

    bend = min(outside, inside + face)  # where the sides begin to spread
    rings = turned(width, inside, bend) + turned(width, bend, outside)
    assert groove_volume(od, cut) == pytest.approx(rings, rel=1e-5, abs=1e-9)
    high = float(cut.reinforcement)

    def cap(radius: float) -> float:
        """A parabola: nothing at the top, the width of the groove at the pipe."""
        return mouth * math.sqrt(max(0.0, 1 - (radius - outside) / high))

    if high:
        assert cap_volume(od, cut) == pytest.approx(turned(cap, outside, outside + high), rel=1e-4, abs=1e-9)


@given(st.sampled_from(PIPES))
def test_a_fillet_is_the_sum_of_its_rings(pipe: PipeWall) -> None:
    od, leg = pipe.od, pipe.wall
    root = float(od) / 2
    outside = turned(lambda r: root + float(leg) - r, root, root + float(leg))
    inside = turned(lambda r: r - root + float(leg), root - float(leg), root)
    assert fillet_volume(od, leg) == pytest.approx(outside, rel=1e-6)
    assert fillet_volume(od, leg, outward=False) == pytest.approx(inside, rel=1e-6)


@given(grooves(), st.lists(st.sampled_from([n for n in PASSES if n != "fillet"]), min_size=1, max_size=4, unique=True))
def test_passes_add_up_to_the_weld(made: tuple[Fraction, Groove], names: list[str]) -> None:
    od, cut = made
    rod = Filler("stick", "E7018", Fraction(1, 8))
    passes = [(name, rod) for name in PASSES if name in names]
    found = layers(od, cut, passes)
    assert found is not None and list(found) == [name for name, _ in passes]
    assert all(volume >= 0 for volume in found.values())
    assert sum(found.values()) == pytest.approx(groove_volume(od, cut) + cap_volume(od, cut))


def test_a_wire_has_to_say_how_thick_it_lays() -> None:
    cut = Groove(Fraction("0.322"), (Fraction(30), Fraction(30)), SIXTEENTH, EIGHTH, SIXTEENTH)
    od, rod = Fraction("8.625"), Filler("stick", "", EIGHTH)
    wire = Filler("solid wire", "ER70S-6", Fraction("0.035"))
    assert layers(od, cut, [("root", wire), ("fill", rod)]) is None
    said = Filler("solid wire", "ER70S-6", Fraction("0.035"), layer=EIGHTH)
    assert layers(od, cut, [("root", said), ("fill", wire)]) == layers(od, cut, [("root", rod), ("fill", rod)])


@given(grooves())
def test_more_groove_takes_more_metal(made: tuple[Fraction, Groove]) -> None:
    od, cut = made
    more = [
        cut._replace(gap=cut.gap + EIGHTH),
        cut._replace(bevels=(cut.bevels[0] + 5, cut.bevels[1])),
        cut._replace(root_face=max(Fraction(0), cut.root_face - SIXTEENTH)),
    ]
    for other in more:
        assert groove_volume(od, other) + cap_volume(od, other) >= groove_volume(od, cut) + cap_volume(od, cut)
    assert groove_volume(od, cut) == groove_volume(od, cut._replace(bevels=cut.bevels[::-1]))


@pytest.mark.parametrize(
    ("wall", "ends", "bevels"),
    [
        ("0.12", ("pipe", "bevel"), (0, 0)),  # ASME B16.25: cut square
        ("0.121", ("pipe", "bevel"), (30, 37.5)),
        ("0.88", ("pipe", "pipe"), (30, 30)),
        ("0.5", ("bevel", "bevel"), (37.5, 37.5)),
    ],
)
def test_how_ends_are_prepared(wall: str, ends: tuple[str, str], bevels: tuple[float, float]) -> None:
    cut = groove(Fraction(wall), ends, replace(PLAIN_WELDING, bevel=Fraction(30)), EIGHTH)
    assert cut is not None
    assert tuple(map(float, cut.bevels)) == bevels
    assert cut.square == (bevels == (0, 0))


def test_a_compound_bevel_is_not_in_the_tables() -> None:
    assert groove(Fraction("0.881"), ("pipe", "pipe"), PLAIN_WELDING, EIGHTH) is None


def test_deposition_shares() -> None:
    shares = {name: share for name, share in deposition().items() if share is not None}
    assert set(deposition()) - set(shares) == {"tig"}
    assert all(0.5 < share < 1 for share in shares.values())
    assert shares["stick"] == min(shares.values())  # stubs and slag


def test_a_pipe_goes_into_its_flange_and_the_flange_has_a_hub() -> None:
    for row in table("slip_on_hubs"):
        pipe = steel_pipe(size(row["nps"]), "STD")
        if pipe is None:
            assert row["nps"] == "3-1/2"  # not bought, so the table of pipe leaves it out
            continue
        hub, bore = decimal(row["hub_in"]), decimal(row["bore_in"])
        assert pipe.od < bore < pipe.od + Fraction(15, 100) < hub


def test_legs_of_slip_on_fillets() -> None:
    """1.4 walls, but no more than the hub has: XS at NPS 2-1/2 class 150 is where it hasn't."""
    standard = slip_on_legs(size("2-1/2"), "150", Fraction("0.203"))
    assert standard == (Fraction("0.2842"), Fraction("0.203"))
    heavy = slip_on_legs(size("2-1/2"), "150", Fraction("0.276"))
    assert heavy == (Fraction("0.31"), Fraction("0.25"))
    assert slip_on_legs(size("1/4"), "150", Fraction("0.088")) is None
    assert slip_on_legs(size("4"), "125", Fraction("0.237")) is None
