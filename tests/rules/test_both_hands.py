"""What is wrong with a typical is told once for both its hands, and mended in the hand that the file is drawn in."""

import pytest
from coilwright import compile_text
from coilwright.model.finding import Finding
from mends import applied

#: A return with an elbow too near to its balancing valve, 2 in too short to meet its main, and a tight hole in a roof.
TYPICAL = """\
service chilled-water
    water
    design 125 psi, 42 degF to 90 degF
    spec steel-welded
    insulate 1-1/2 in

lengths of balancing valve, flanged
    4, 13-3/4 in

typical roof-unit, drawn with airflow left to right
    coil CC-* on chilled-water
        supply low at leaving side, 4 flanged, at right 0 in, up 0 in, toward 3 in
        return high at entering side, 4 flanged, at right 14 in, up 44 in, toward 3 in
    supply to CC-*, 4
        from main CHS
        up 32 in
        left 40 in
        butterfly valve BV-*11
        left 14 in
        drain 3/4
        left
        away 24 in
    return from CC-*, 4
        toward 36 in
        vent 1/2
        right 18 in
        balancing valve FB-*11
        right 30 in
        butterfly valve BV-*12
        right 24 in
        down 76 in
        through roof, hole 8, at right 1 ft, up 0 in
        to main CHR, at right 88 in, down 32 in, toward 47-1/8 in

"""
LEFT, RIGHT = (f"unit RTU-{n} is roof-unit, airflow {way}\n" for n, way in ((1, "left to right"), (2, "right to left")))
RULES = ("balancing-in-disturbed-flow", "route-misses-end", "hole-not-met", "hole-tight")


def found(text: str, rule: str) -> list[Finding]:
    return [f for f in compile_text(text, name="roof.hookup").findings if f.rule == rule]


@pytest.mark.parametrize("rule", RULES)
def test_one_fault_of_two_hands_is_told_once(rule: str) -> None:
    (one,) = found(TYPICAL + LEFT + RIGHT, rule)
    assert one.units == ("RTU-1", "RTU-2")


@pytest.mark.parametrize("rule", RULES)
def test_the_unit_of_the_other_hand_alone_hears_the_same(rule: str) -> None:
    (drawn,), (mirrored,) = found(TYPICAL + LEFT, rule), found(TYPICAL + RIGHT, rule)
    assert (drawn.message, drawn.mend, drawn.notes) == (mirrored.message, mirrored.mend, mirrored.notes)


@pytest.mark.parametrize("rule", ("balancing-in-disturbed-flow", "route-misses-end", "hole-tight"))
def test_its_mend_mends_both_hands(rule: str) -> None:
    text = TYPICAL + LEFT + RIGHT
    (one,) = found(text, rule)
    mended = applied(text, one.mend)
    assert found(mended, rule) == []
    errors = [f for f in compile_text(mended, name="roof.hookup").findings if f.severity == "error"]
    assert errors == []


def test_left_and_right_are_the_files_and_said_to_be() -> None:
    (miss,) = found(TYPICAL + RIGHT, "route-misses-end")
    assert miss.message.endswith("left of where it should, as drawn")
    (hole,) = found(TYPICAL + RIGHT, "hole-not-met")
    assert hole.message.endswith("too far right, as drawn")


def test_a_tight_hole_is_shown_where_the_file_says_it_and_keeps_its_place() -> None:
    (tight,) = found(TYPICAL + LEFT, "hole-tight")
    lines = TYPICAL.splitlines()
    assert lines[tight.span.line - 1].strip().startswith("through roof"), "not the move that its pipe begins with"
    (edit,) = tight.mend
    assert edit.new == ("through roof, hole 10, at right 1 ft, up 0 in",)
