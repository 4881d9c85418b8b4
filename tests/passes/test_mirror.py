"""Airflow hand: the mirror."""

from __future__ import annotations

from itertools import product

import pytest
from coilwright import compile_text
from coilwright.passes.mirror import coil_hand, mirrored_move

from .hookups import compiled, hookup_text

AXES = {
    "up": (0, 0, 1),
    "down": (0, 0, -1),
    "left": (-1, 0, 0),
    "right": (1, 0, 0),
    "toward": (0, -1, 0),
    "away": (0, 1, 0),
}


@pytest.mark.parametrize(("airflow", "x"), [("left to right", 1), ("right to left", -1)])
def test_coil_hand_is_the_side_of_the_connections_with_the_air_on_the_back(airflow: str, x: int) -> None:
    # Seen facing the connections: x to the right, y away, z up; the connections are on the side toward the viewer.
    forward, up, connections = (x, 0, 0), AXES["up"], AXES["toward"]
    right = tuple(forward[(i + 1) % 3] * up[(i + 2) % 3] - forward[(i + 2) % 3] * up[(i + 1) % 3] for i in range(3))
    assert coil_hand(airflow) == ("right" if right == connections else "left")


def test_mirror_changes_left_and_right_only_and_twice_is_nothing() -> None:
    made = compiled("up 1 ft\nleft 2 ft\ntoward 1 ft\nright 1 ft")
    moves = [move for _, move in made.hookups[0].moves]
    once = [mirrored_move(m) for m in moves]
    assert [m.legs[0].direction for m in once] == ["up", "right", "toward", "left"]
    assert [mirrored_move(m) for m in once] == moves


def test_unit_of_the_other_hand() -> None:
    text = hookup_text("up 1 ft\nleft 2 ft\nbutterfly valve BV-*1, lug, left hand\nleft 1 ft")
    made = compile_text(text + "unit AH-2 is one, number 2, airflow right to left\n")
    drawn, other = made.hookups
    assert [m.legs[0].direction for _, m in drawn.moves] == ["up", "left", "left"]
    assert [m.legs[0].direction for _, m in other.moves] == ["up", "right", "right"]
    assert [h.component("BV-*1").hand for h in (drawn, other)] == ["left", "right"]
    hands = {(r.cells["units"], r.cells["what"]): r.cells["built"] for r in made.tables(["hands"])[0].rows}
    assert hands["AH-1", "coil"] == "right hand" and hands["AH-2", "coil"] == "left hand"
    assert hands["AH-2", "butterfly valve"] == "right hand"


def bill_of(airflow: str, steps: str) -> list[tuple[object, ...]]:
    text = hookup_text(steps).replace("unit AH-1 is one, number 1", f"unit AH-1 is one, number 1, airflow {airflow}")
    return [
        (r.cells["size"], r.cells["description"], r.cells["total"]) for r in compile_text(text).tables(["bill"])[0].rows
    ]


@pytest.mark.parametrize(
    "steps", ["\n".join(p) for p in product(["left 1 ft", "up 2 ft"], ["drain 3/4", "ball valve B-1, flanged"])]
)
def test_bill_of_the_mirrored_unit_is_the_same(steps: str) -> None:
    assert bill_of("left to right", steps) == bill_of("right to left", steps) != []
