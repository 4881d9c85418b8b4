"""Lengths between marks: sums, cuts, places, what follows from two ends, and what does not meet."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

from coilwright import compile_text
from coilwright.model.measured import Measured, Straight
from coilwright.passes.stretches import layout
from hypothesis import assume, given, settings
from hypothesis import strategies as st

HEAD = """\
service chilled-water
    water
    design 125 psi, 42 degF to 90 degF
    spec {spec}
lengths of balancing valve, flanged
    4, 14-1/2 in
lengths of ball valve, threaded
    4, 9-1/4 in
    3/4, 2-3/8 in
"""
UNIT = """\
unit AH-1, airflow {airflow}
    coil CC on chilled-water
        supply low, 4 flanged{supply_at}
        return high, 4 flanged
    supply to CC, 4
        from main CHS{main_at}
{steps}
    return from CC, 4
        gate valve GV-9
        to main CHR
"""


def measured(
    steps: str, spec: str = "steel-welded", supply_at: str = "", main_at: str = "", airflow: str = "left to right"
) -> Measured:
    made = compile_text(text(steps, spec, supply_at, main_at, airflow))
    assert not [f for f in made.findings if f.severity == "error"], made.findings
    found = made.hookups[0].measured
    assert found is not None
    return found


def text(
    steps: str, spec: str = "steel-welded", supply_at: str = "", main_at: str = "", airflow: str = "left to right"
) -> str:
    inner = "\n".join(f"        {step}" for step in steps.splitlines())
    unit = UNIT.format(steps=inner, supply_at=supply_at, main_at=main_at, airflow=airflow)
    return HEAD.format(spec=spec) + unit


def supply(found: Measured) -> list[Straight]:
    return [s for s in found.straights if s.line == "supply to CC"]


def cut(found: Measured, number: int) -> object:
    return found.cuts[supply(found)[number].run]


# -- cuts against sums done by hand -------------------------------------------------------------------------------


def test_between_two_long_radius_elbows() -> None:
    # NPS 4 long radius elbow 6 in centre to face (ASME B16.9), 1/8 in gap at each weld: 36 - 12 - 1/4 = 23-3/4.
    found = measured("up 2 ft\nleft 3 ft\nup 2 ft")
    assert cut(found, 1) == Fraction(95, 4)


def test_short_radius_elbow_takes_less() -> None:
    # Short radius NPS 4: 4 in centre to face (ASME B16.9).
    found = measured("up 2 ft\nleft 3 ft, short radius\nup 2 ft")
    assert cut(found, 1) == Fraction(36) - 6 - 4 - Fraction(1, 4)


def test_between_an_elbow_and_a_flanged_valve() -> None:
    # Elbow 6, gap 1/8; pipe stops 5/16 in short of the face of the slip-on flange (wall .237 up to 1/4, and 1/16);
    # gasket 1/8 (gate valve, flat faced); gate valve NPS 4 class 125 iron 9 in face to face (ASME B16.10).
    found = measured("up 2 ft\nleft 3 ft\ngate valve GV-1\nleft 3 ft")
    left = Fraction(36) - 6 - Fraction(1, 8) - Fraction(5, 16) - Fraction(1, 8) - Fraction(9, 2)
    assert cut(found, 1) == left


def test_resilient_seat_takes_no_gasket() -> None:
    # Butterfly lug NPS 4: 2.06 in printed, 2-1/16 (API 609 category A).
    found = measured("up 2 ft\nleft 3 ft\nbutterfly valve BV-1\nleft 3 ft")
    assert cut(found, 1) == Fraction(36) - 6 - Fraction(1, 8) - Fraction(5, 16) - Fraction(33, 32)


def test_threaded_pipe_goes_into_its_fittings() -> None:
    # Malleable iron class 150 (ASME B16.3): NPS 1-1/2 elbow 1.94 in. Make-up of 1-1/2 pipe: 0.5625 in at each end.
    made = compile_text(
        text("up 2 ft\nleft 3 ft\nup 2 ft", "steel-threaded").replace("supply to CC, 4", "supply to CC, 1-1/2")
    )
    found = made.hookups[0].measured
    assert found is not None
    assert cut(found, 1) == Fraction(36) - 2 * Fraction("1.94") + 2 * Fraction("0.5625")


def test_fitting_to_fitting_has_one_weld_and_no_pipe() -> None:
    made = compile_text(text("up 2 ft\nleft 12-1/8 in\nup 2 ft"))
    hookup = made.hookups[0]
    assert hookup.measured is not None
    straight = supply(hookup.measured)[1]
    assert not straight.run
    assert [part.what for part in straight.parts] == ["elbow 4", "butt weld", "elbow 4"]
    joints = [j for u, v, j in hookup.joints() if {u, v} == {straight.a[0], straight.b[0]}]
    assert [j.kind for j in joints] == ["butt weld"]


def test_what_no_table_has_is_said_and_nothing_is_cut_by_guess() -> None:
    found = measured("up 2 ft\nleft 3 ft\ncontrol valve TCV-1\nleft 3 ft")
    assert str(cut(found, 1)) == "not in the tables"
    assert supply(found)[1].centres == 36


def test_a_file_without_lengths_is_not_measured() -> None:
    assert compile_text(text("up\nleft about 3 ft")).hookups[0].measured is None


def test_an_allowance_is_not_measured() -> None:
    found = measured("up 2 ft\nleft about 3 ft\nup 2 ft")
    assert str(cut(found, 1)) == "not measured"
    assert supply(found)[1].how == "allowed"


# -- places -------------------------------------------------------------------------------------------------------

COIL_AT = ", at right 10 in, up 12 in, toward 4 in"


def test_places_follow_the_moves() -> None:
    found = measured("up 2 ft\nleft 3 ft\naway 1 ft", supply_at=COIL_AT)
    assert found.marks["CC", "supply"] == (10, 4, 12)
    assert found.marks["main CHS", "tap 1"] == (46, 16, -12)
    assert not found.misses


def test_offset_goes_ahead_as_far_as_aside() -> None:
    # 45 degrees: set 12, roll 5, true offset 13, and as much ahead (geometry).
    found = measured("left 2 ft\nup 12 in, toward 5 in, at 45\nleft 2 ft", supply_at=COIL_AT)
    assert found.marks["main CHS", "tap 1"] == (10 + 24 + 13 + 24, 4 - 5, 12 - 12)


def test_pitch_falls_as_the_line_is_written() -> None:
    # 1/8 in per ft over 8 ft is 1 in.
    down = measured("left 8 ft, pitch 1/8 in per ft", supply_at=COIL_AT)
    up = measured("left 8 ft, pitch up 1/8 in per ft", supply_at=COIL_AT)
    assert down.marks["main CHS", "tap 1"][2] == 13
    assert up.marks["main CHS", "tap 1"][2] == 11


def test_a_missing_length_follows_from_the_two_ends() -> None:
    found = measured(
        "up 2 ft\nleft\naway 1 ft", supply_at=COIL_AT, main_at=", at right 46 in, down 12 in, toward 16 in"
    )
    assert supply(found)[1].centres == 36
    assert supply(found)[1].how == "from its ends"
    assert not found.misses


def test_an_end_that_is_missed_has_its_three_components() -> None:
    found = measured(
        "up 2 ft\nleft 3 ft\naway 1 ft",
        supply_at=COIL_AT,
        main_at=", at right 45 in, down 11 in, toward 16 in",
    )
    (miss,) = found.misses
    assert miss.by == (-1, 0, 1)


def both_hands(steps: str) -> tuple[Measured, Measured]:
    """A typical's lengths in the hand it is drawn in, and in the other."""
    typical = text(steps, supply_at=COIL_AT).replace("unit AH-1, airflow", "typical t, drawn with airflow")
    hands = "unit A is t, number 1, airflow left to right\nunit B is t, number 2, airflow right to left\n"
    one, other = (h.measured for h in compile_text(typical + hands).hookups)
    assert one is not None
    assert other is not None
    return one, other


def test_mirroring_turns_places_and_keeps_cuts() -> None:
    steps = "up 2 ft\nleft 3 ft\ngate valve GV-1\nleft 20 in\ndrain\naway 1 ft"
    one, other = both_hands(steps)
    assert one.cuts == other.cuts
    placed = [mark for mark, island in one.islands.items() if not island]
    assert len(placed) > 4
    for mark in placed:
        right, toward, up = one.marks[mark]
        assert other.marks[mark] == (-right, toward, up)


# -- what must hold for any route ----------------------------------------------------------------------------------

DIRECTIONS = ("up", "down", "left", "right", "toward", "away")
moves = st.builds(
    lambda way, sixteenths: f"{way} {sixteenths // 16}-{sixteenths % 16}/16 in",
    st.sampled_from(DIRECTIONS),
    st.integers(3 * 192, 9 * 192),
)
items = st.sampled_from(
    ["gate valve", "butterfly valve", "drain", "vent 1/2", "tee 3/4", "tee 4", "balancing valve", "hanger", "reducer 3"]
)
OPPOSITE = {"up": "down", "down": "up", "left": "right", "right": "left", "toward": "away", "away": "toward"}


def turns_back(route: list[str]) -> bool:
    """Whether two directions in a row are opposite, which is a mistake of the file."""
    ways = [step.split()[0] for step in route if step.split()[0] in OPPOSITE]
    return any(OPPOSITE[a] == b for a, b in pairwise(ways))


routes = st.lists(st.one_of(moves, moves, items), min_size=2, max_size=12).filter(
    lambda route: any(step.split()[0] in OPPOSITE for step in route) and not turns_back(route)
)


def _plugged(route: list[str]) -> str:
    return "\n".join(f"{step}\n    plug" if step.startswith("tee") else step for step in route)


@settings(max_examples=60, deadline=None)
@given(routes, st.sampled_from(["steel-welded", "steel-threaded"]))
def test_every_straight_adds_up_exactly(route: list[str], spec: str) -> None:
    found = measured(_plugged(route), spec)
    for straight in found.straights:
        lengths = [part.length for part in straight.parts]
        if isinstance(straight.centres, Fraction) and all(isinstance(length, Fraction) for length in lengths):
            assert sum(length for length in lengths if isinstance(length, Fraction)) == straight.centres


@settings(max_examples=40, deadline=None)
@given(routes)
def test_the_other_hand_has_the_same_cuts_and_mirrored_places(route: list[str]) -> None:
    one, other = both_hands(_plugged(route))
    assert one.cuts == other.cuts
    assert one.islands == other.islands
    assert {mark: (-right, *rest) for mark, (right, *rest) in one.marks.items()} == {
        mark: (right, *rest) for mark, (right, *rest) in other.marks.items()
    }


@settings(max_examples=25, deadline=None)
@given(routes, st.sampled_from([-1, 0, 1]))
def test_a_line_led_to_where_its_moves_end_misses_nothing(route: list[str], off: int) -> None:
    """The main is put where the moves come from: the line closes. One inch to a side of it, it does not."""
    steps = _plugged(route)
    first = measured(steps, supply_at=COIL_AT)
    assume(not first.islands["main CHS", "tap 1"])  # everything on the way has a length in the tables
    right, toward, up = first.marks["main CHS", "tap 1"]
    at = [
        f"{there if value >= 0 else back} {float(abs(value)):.9f} in"
        for value, there, back in ((right + off, "right", "left"), (toward, "toward", "away"), (up, "up", "down"))
    ]
    found = measured(steps, supply_at=COIL_AT, main_at=f", at {', '.join(at)}")
    assert [tuple(round(part, 6) for part in miss.by) for miss in found.misses] == ([(off, 0, 0)] if off else [])


def test_pieces_lie_one_behind_the_other_in_flow_order() -> None:
    found = measured("up 2 ft\nleft 3 ft\ngate valve GV-1\nleft 3 ft\naway 1 ft", supply_at=COIL_AT)
    placed = layout(found)
    straight = supply(found)[1]
    inner = [placed.stretches[part.id] for part in straight.parts if part.id and part.sort != "take-out"]
    ends = [placed.faces[straight.a[0], "out"][0], *(x for s in inner for x in (s.start[0], s.end[0]))]
    assert placed.faces["GV-1", "in"][0] == ends[-1] - 0.125  # a gasket between the flange and the valve
    # 1/8 in gap behind the elbow, 24-15/16 of pipe that goes 15/16 into a flange 1-1/4 in long, all to the left.
    assert [round(a - b, 4) for a, b in pairwise(ends)] == [0.125, 24.9375, -0.9375, 1.25]
