"""Rules on control, balancing, freezing, ways through the coil, insulation, flow and supports: what each says of a coil
where its case files do not go, above all where it cannot tell."""

import pytest
from coilwright.model.hookup import Hookup
from coilwright.rules.registry import check_hookup
from hookups import compiled, found_by, hookup

SUPPLY, BACK = "ball valve BV-1; drain 3/4; test port", "vent 1/2; test port; balancing valve FB-1; ball valve BV-2"
RING = "ball valve BV-1; drain 3/4; tee T-1, 3/4; {}pump P-1; {}test port"
AWAY = "vent 1/2; tee T-2, 3/4; control valve TCV-1; ball valve BV-2"
FREEZING = "entering air 20 degF"


def served(text: str, *facts: str) -> str:
    """The text with more facts of its service."""
    return text.replace("    spec ", "".join(f"    {fact}\n" for fact in facts) + "    spec ", 1)


def swapped(text: str) -> str:
    """The text with the two air sides of its coil the other way round."""
    sides = text.split(" at leaving side")
    return " at entering side".join(part.replace(" at entering side", " at leaving side") for part in sides)


def answer(text: str, rule: str, part: str = "") -> str:
    """What a rule answers of coil CC; `-` if it says nothing."""
    (hookup_,) = compiled(text).hookups
    return said(hookup_, rule, part)


def said(of: Hookup, rule: str, part: str = "") -> str:
    verdict = check_hookup(of).verdicts.get((rule, part, "CC"))
    return verdict.answer if verdict else "-"


PLAIN = hookup(SUPPLY, BACK)
CASES = {
    "air unsaid": (PLAIN, "freezing-air-on-water", "cannot tell"),
    "air at the limit": (hookup(SUPPLY, BACK, coil="entering air 40 degF"), "freezing-air-on-water", "yes"),
    "air just below": (hookup(SUPPLY, BACK, coil="entering air 39 degF"), "freezing-air-on-water", "no"),
    "water kept moving": (
        hookup(RING.format("", ""), AWAY, coil=FREEZING, more="bypass from T-2 to T-1, 3/4; >check valve CV-1"),
        "freezing-air-on-water",
        "yes",
    ),
    "no pump, no question of its loop": (hookup(SUPPLY, BACK, coil=FREEZING), "freeze-pump-loop-broken", "-"),
    "bypass the wrong way": (
        hookup(RING.format("", ""), AWAY, coil=FREEZING, more="bypass from T-1 to T-2, 3/4; >right"),
        "freeze-pump-loop-broken",
        "no",
    ),
    "valve in the loop": (
        hookup(RING.format("control valve TCV-2; ", ""), AWAY, coil=FREEZING, more="bypass from T-2 to T-1, 3/4; >up"),
        "freeze-pump-loop-broken",
        "no",
    ),
    "warm air, whatever the loop": (
        hookup(RING.format("", ""), AWAY, coil="entering air 60 degF", more="bypass from T-1 to T-2, 3/4; >right"),
        "freeze-pump-loop-broken",
        "-",
    ),
    "mixing valve passes from its bypass": (
        hookup(
            "ball valve BV-1; three-way control valve TCV-1, mixing; drain 3/4; pump P-1; test port",
            "vent 1/2; tee T-2, 3/4; balancing valve FB-1; ball valve BV-2",
            coil=FREEZING,
            more="bypass from T-2 to TCV-1 bypass, 3/4; >up",
        ),
        "freeze-pump-loop-broken",
        "yes",
    ),
    "three-way unsaid": (
        hookup(
            SUPPLY + "; tee T-1, 3/4",
            "vent 1/2; three-way control valve TCV-1; ball valve BV-2",
            more="bypass from T-1 to TCV-1 bypass, 3/4; >up",
        ),
        "three-way-ports-reversed",
        "cannot tell",
    ),
    "diverting on the supply": (
        hookup(
            "ball valve BV-1; three-way control valve TCV-1, diverting; drain 3/4",
            "vent 1/2; tee T-1, 3/4; ball valve BV-2",
            more="bypass from TCV-1 bypass to T-1, 3/4; >up",
        ),
        "three-way-ports-reversed",
        "yes",
    ),
    "nothing measured": (PLAIN, "balancing-in-disturbed-flow", "cannot tell"),
    "after a pump 10 diameters": (
        hookup(SUPPLY, "vent 1/2; pump P-1; right 6 in; balancing valve FB-1; right 6 in; ball valve BV-2"),
        "balancing-in-disturbed-flow",
        "no",
    ),
    "after a fitting 5 diameters": (
        hookup(SUPPLY, "vent 1/2; check valve CV-1; right 6 in; balancing valve FB-1; right 6 in; ball valve BV-2"),
        "balancing-in-disturbed-flow",
        "yes",
    ),
    "balancing on the supply": (
        hookup("ball valve BV-1; balancing valve FB-1; drain 3/4", "vent 1/2; ball valve BV-2"),
        "balancing-missing",
        "no",
    ),
    "pressure-independent on the supply": (
        hookup("ball valve BV-1; picv TCV-1; drain 3/4", "vent 1/2; ball valve BV-2"),
        "balancing-missing",
        "yes",
    ),
    "rows unsaid, sides right": (PLAIN, "flow-with-the-air", "yes"),
    "rows unsaid, sides swapped": (
        swapped(PLAIN),
        "flow-with-the-air",
        "cannot tell",
    ),
    "two rows, sides swapped": (
        swapped(hookup(SUPPLY, BACK, coil="rows 2")),
        "flow-with-the-air",
        "yes",
    ),
    "insulation unsaid": (PLAIN, "insulation-thin", "cannot tell"),
    "design unsaid": (PLAIN.replace("    design 125 psi, 40 degF to 100 degF\n", ""), "insulation-thin", "cannot tell"),
    "flow unsaid": (PLAIN, "velocity-high", "cannot tell"),
    "occupied area": (
        hookup(SUPPLY, BACK, coil="flow 8 gpm").replace("to CC, 3/4", "to CC, 3/4, occupied area"),
        "velocity-high",
        "no",
    ),
    "the same elsewhere": (hookup(SUPPLY, BACK, coil="flow 8 gpm"), "velocity-high", "yes"),
    "small pipe has no cap": (hookup(SUPPLY, BACK, coil="flow 8 gpm"), "flow-over-code-cap", "-"),
    "hours unsaid between the caps": (
        hookup(SUPPLY, BACK, coil="flow 150 gpm", size="3", spec="steel-welded", end="3 flanged"),
        "flow-over-code-cap",
        "cannot tell",
    ),
    "below every cap": (
        hookup(SUPPLY, BACK, coil="flow 100 gpm", size="3", spec="steel-welded", end="3 flanged"),
        "flow-over-code-cap",
        "yes",
    ),
    "above every cap": (
        hookup(SUPPLY, BACK, coil="flow 280 gpm", size="3", spec="steel-welded", end="3 flanged"),
        "flow-over-code-cap",
        "no",
    ),
    "hole unsaid": (hookup("through floor; up; " + SUPPLY, BACK), "hole-tight", "cannot tell"),
    "nobody asks for flexible": (PLAIN, "flexible-connection-missing", "-"),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_answer(case: str) -> None:
    text, rule, expected = CASES[case]
    assert answer(text, rule) == expected


@pytest.mark.parametrize(
    ("supply", "part", "expected"),
    [
        (SUPPLY, "supply", "cannot tell"),  # no hanger is drawn anywhere
        (SUPPLY + "; left 6 ft; hanger", "supply", "yes"),  # 3/4 steel: 7 ft
        (SUPPLY + "; hanger; left 9 ft", "supply", "cannot tell"),  # it stands somewhere on 9 ft
        ("ball valve BV-1; left 2 ft; hanger; drain 3/4; left 9 ft", "supply", "no"),
        ("ball valve BV-1; left; hanger; drain 3/4", "supply", "cannot tell"),
        (SUPPLY + "; left 6 ft; hanger", "return", "cannot tell"),
    ],
)
def test_supported_within_the_spacing(supply: str, part: str, expected: str) -> None:
    assert answer(hookup(supply, BACK), "coil-carries-pipe", part) == expected


MEASURED = """\
lengths of control valve, flanged
    2-1/2, 10-7/8 in
service chilled-water
    water
    spec steel-welded
unit AH-1, airflow left to right
    coil CC on chilled-water
        supply low, 3 flanged, at right 40 in, up 10 in, toward 3 in
        return high, 3 flanged, at right 26 in, up 52 in, toward 3 in
    supply to CC, 3
        from main CHS
        up 4 ft
        hanger
        up 1 ft
        away 12 in
    return from CC, 3
        toward 12 in
        control valve TCV-1, 2-1/2
        {moves}
        to main CHR
"""


@pytest.mark.parametrize(
    ("moves", "expected", "asked"),
    [
        # 12 in and the length behind the valve; 3 in steel: 12 ft
        ("toward 20 in; vent 1/2; toward 20 in; hanger; toward 20 in", "yes", ""),
        ("toward 20 in; vent 1/2; toward 112 in; hanger; toward 20 in", "yes", ""),
        ("toward 20 in; vent 1/2; toward 112-1/8 in; hanger; toward 20 in", "no", ""),
        # somewhere on a run that goes past it
        ("toward 20 in; vent 1/2; toward 130 in; hanger", "cannot tell", "a length on each side"),
        ("toward 20 in; vent 1/2; toward; hanger; toward 9 ft", "cannot tell", "between coil `CC` and"),
    ],
)
def test_pieces_between_coil_and_hanger_take_no_length_from_the_moves(moves: str, expected: str, asked: str) -> None:
    text = MEASURED.format(moves="\n        ".join(moves.split("; ")))
    (made,) = compiled(text).hookups
    verdict = check_hookup(made).verdicts["coil-carries-pipe", "return", "CC"]
    assert verdict.answer == expected
    assert asked in verdict.said


def test_a_swing_joint_runs_in_three_directions() -> None:
    swing, flat = "up 1 ft; left 1 ft; toward 1 ft", "up 1 ft; left 1 ft"
    for moves, expected in ((swing, "yes"), (flat, "no")):
        text = hookup(f"{SUPPLY}; {moves}", BACK, coil="flexible connections")
        assert answer(text, "flexible-connection-missing", "supply") == expected
    assert (
        answer(hookup(SUPPLY, BACK, coil="flexible connections"), "flexible-connection-missing", "supply")
        == "cannot tell"
    )


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        (("coldest surroundings 40 degF",), "yes"),
        (("coldest surroundings 14 degF",), "yes"),  # freezes at 8.4 F
        (("coldest surroundings 13 degF",), "no"),
        ((), "cannot tell"),
    ],
)
def test_strength_of_glycol(facts: tuple[str, ...], expected: str) -> None:
    text = PLAIN.replace("    water\n", "    propylene glycol, 30 % by volume\n")
    assert answer(served(text, *facts), "glycol-too-weak") == expected


def test_strength_by_mass_is_the_weaker_one() -> None:
    """30 % ethylene glycol freezes at 3.7 F by volume and, being 27.8 % by volume, near 6.5 F by mass."""
    text = PLAIN.replace("    water\n", "    ethylene glycol, 30 % by {}\n")
    answers = [
        answer(served(text.format(basis), "coldest surroundings 9 degF"), "glycol-too-weak")
        for basis in ("volume", "mass")
    ]
    assert answers == ["yes", "no"]


def test_a_mirrored_unit_wants_the_other_hand() -> None:
    text = hookup(SUPPLY, BACK, coil="ordered right hand")
    both = text + "unit FC-2 is fan-coil, airflow right to left\n"
    hands = {h.units[0].tag: said(h, "hand-not-as-ordered") for h in compiled(both).hookups}
    assert hands == {"FC-1": "yes", "FC-2": "no"}
    assert found_by(both, ["hand-not-as-ordered"]) == ["hand-not-as-ordered"]


def test_a_port_behind_a_tee_to_another_line_reads_more() -> None:
    text = hookup(
        SUPPLY + "; tee T-1, 3/4",
        "vent 1/2; tee T-2, 3/4; test port; ball valve BV-2",
        more="bypass from T-1 to T-2, 3/4; >ball valve BV-3",
    )
    assert answer(text, "test-port-reads-more", "supply") == "no"
    assert answer(text, "test-port-reads-more", "return") == "no"
    assert answer(PLAIN, "test-port-reads-more", "return") == "yes"
