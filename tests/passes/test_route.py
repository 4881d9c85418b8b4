"""Moves to elbows and straight pipe."""

from __future__ import annotations

from fractions import Fraction

import pytest

from .hookups import compiled, hookup_text, only

from coilwright import compile_text  # isort: skip


@pytest.mark.parametrize(
    ("steps", "elbows"),
    [
        ("up 1 ft", 0),
        ("up 1 ft\nup 2 ft", 0),
        ("up 1 ft\nleft 2 ft", 1),
        ("up 1 ft\ngate valve GV-1\nleft 2 ft\ntoward 1 ft", 2),
        ("up\nleft\nup\nleft", 3),
    ],
)
def test_an_elbow_at_each_change_of_direction(steps: str, elbows: int) -> None:
    assert len(only(compiled(steps), "elbow")) == elbows


def test_offset_takes_two_45s_and_its_travel_is_set_times_root_two() -> None:
    # Travel = set x 1.414 for a 45 degree offset: geometry. Set 10 in: 14.142 in, kept to 1/64.
    made = compiled("left 2 ft\nup 10 in, at 45\nleft 1 ft")
    assert len(only(made, "45 elbow")) == 2
    (offset,) = [c.pipe for c in only(made, "pipe") if c.pipe is not None and c.pipe.heading == "offset"]
    assert abs(float(offset.length) - 10 * 2**0.5) < 1 / 128  # type: ignore[arg-type]
    assert offset.rise == 1


def test_rolling_offset() -> None:
    # True offset = root of (set 12 squared + roll 5 squared) = 13; travel = 13 x 1.41421 = 18.385.
    made = compiled("left 2 ft\nup 12 in, toward 5 in, at 45\nleft 1 ft")
    (offset,) = [c.pipe for c in only(made, "pipe") if c.pipe is not None and c.pipe.heading == "offset"]
    assert abs(float(offset.length) - 13 * 2**0.5) < 1 / 128  # type: ignore[arg-type]


def test_lengths_of_one_run_add_up_and_one_missing_makes_it_not_measured() -> None:
    runs = [
        c.pipe for c in only(compiled("left 1 ft\nleft 2 ft 6 in"), "pipe") if c.pipe and c.pipe.length == Fraction(42)
    ]
    assert len(runs) == 1
    bill = compiled("left 1 ft\nleft").tables(["bill"])[0]
    pipe = [
        (r.cells["description"], r.cells["unit"])
        for r in bill.rows
        if r.cells["group"] == "pipe" and r.cells["size"] == "4"
    ]
    assert ("pipe, carbon steel schedule 40, length not measured", "pieces") in pipe
    assert all(unit != "ft" for _, unit in pipe)


def test_straight_back_is_found() -> None:
    made = compile_text(hookup_text("up 1 ft\ndown 1 ft"))
    assert "move-turns-back" in [f.rule for f in made.findings]


def test_two_directions_without_angle_are_found() -> None:
    made = compile_text(hookup_text("up 1 ft, left 1 ft"))
    assert "offset-angle-missing" in [f.rule for f in made.findings]
