"""Rules whose answer hangs on what a file declares: what each says of a coil when little of it is there."""

from pathlib import Path

import pytest
from coilwright import compile_text
from coilwright.takeoff.lineups import separation
from hookups import compiled, hookup
from test_water_rules import BACK, SUPPLY, answer, served

CASES = Path(__file__).parent / "cases"
PLAIN = hookup(SUPPLY, BACK)
GLYCOL = PLAIN.replace("    water\n", "    propylene glycol, 30 % by volume\n")


@pytest.mark.parametrize(("coldest", "expected"), [("20 degF", "yes"), ("0 degF", "cannot tell")])
def test_burst_protection_is_told_only_where_nothing_freezes(coldest: str, expected: str) -> None:
    """30 % of propylene glycol freezes at 8.4 F; at what it bursts a tube is not in the tables."""
    text = served(GLYCOL, f"coldest surroundings {coldest}")
    assert answer(served(text, "burst protection"), "glycol-too-weak") == expected
    assert answer(text, "glycol-too-weak") == ("yes" if expected == "yes" else "no")


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ((), "cannot tell"),
        (("make-up by hand",), "cannot tell"),
        (("low-pressure alarm",), "cannot tell"),
        (("make-up by hand", "low-pressure alarm"), "yes"),
        (("automatic make-up", "low-pressure alarm"), "no"),
    ],
)
def test_make_up_of_glycol(facts: tuple[str, ...], expected: str) -> None:
    assert answer(served(GLYCOL, *facts), "glycol-made-up-with-water") == expected
    assert answer(served(PLAIN, *facts), "glycol-made-up-with-water") == "-"


def test_galvanized_fittings_on_a_size_that_is_there() -> None:
    row = "{} threaded, carbon steel schedule 40, galvanized malleable iron class 150\n"
    own = "spec own, like steel-threaded\n    " + row
    text = GLYCOL.replace("spec steel-threaded", "spec own").replace("typical", own + "\ntypical", 1)
    assert answer(text.format("1/4 to 4"), "galvanized-with-glycol") == "no"
    assert answer(text.format("4"), "galvanized-with-glycol") == "cannot tell"
    assert compiled(served(text.format("4"), "gaskets suit the fluid"))


RING = "ball valve BV-1; {}drain 3/4; vent 1/2; tee T-1, 3/4; pump P-1; {}test port"
AWAY = "vent 1/2; test port; {}tee T-2, 3/4; control valve TCV-1; {}ball valve BV-2"


@pytest.mark.parametrize(("at", "expected"), [(None, "cannot tell"), (0, "no"), (1, "yes"), (2, "yes"), (3, "no")])
def test_element_on_the_pumped_ring(at: int | None, expected: str) -> None:
    """Ahead of the supply tee, in the ring on either leg, behind the return tee; and nowhere."""
    well = ["thermowell TE-1; " if place == at else "" for place in range(4)]
    text = hookup(RING.format(*well[:2]), AWAY.format(*well[2:]), more="bypass from T-2 to T-1, 3/4; >check valve CV-1")
    assert answer(text, "element-outside-pumped-loop") == expected


def test_no_pump_no_question_of_elements_or_shutoffs() -> None:
    assert answer(PLAIN, "element-outside-pumped-loop") == answer(PLAIN, "pump-without-shutoffs") == "-"


@pytest.mark.parametrize(
    ("valve", "found"),
    [
        ("globe valve GV-1, normally closed", 0),
        ("globe valve GV-1", 1),
        ("globe valve, normally closed", 1),
        ("ball valve HV-1; globe valve GV-1, normally closed", 0),
        ("control valve TCV-2", 0),
    ],
)
def test_hand_bypass_of_a_control_valve(valve: str, found: int) -> None:
    back = "vent 1/2; test port; tee T-1, 3/4; control valve TCV-1; drain 3/4; tee T-2, 3/4; ball valve BV-2"
    more = "bypass from T-1 to T-2, 3/4; " + "; ".join(f">{item}" for item in valve.split("; "))
    text = hookup(SUPPLY, back, more=more)
    assert [f.rule for f in compiled(text).findings].count("hand-bypass-open") == found


def test_a_bypass_round_the_coil_is_no_hand_bypass() -> None:
    text = hookup(RING.format("", ""), AWAY.format("", ""), more="bypass from T-2 to T-1, 3/4; >check valve CV-1")
    assert "hand-bypass-open" not in [f.rule for f in compiled(text).findings]


@pytest.mark.parametrize(("spec", "expected"), [("own", "no"), ("steel-welded", "yes")])
def test_joints_between_coil_and_bypass(spec: str, expected: str) -> None:
    """Welded in, the coil parts from its bypass on neither leg; with loose coil connections on both."""
    text = hookup(
        "butterfly valve BV-1, lug; drain 3/4; tee T-1",
        "vent 1/2; tee T-2; control valve TCV-1, flanged; butterfly valve BV-2, lug",
        size="4", end="4 butt weld", spec=spec, more="bypass from T-1 to T-2, 4; >balancing valve FB-1, flanged",
    )  # fmt: skip
    text = text.replace("typical", "spec own, like steel-welded\n    coil connections made up solid\n\ntypical", 1)
    for leg in ("supply", "return"):
        assert answer(text, "bypass-comes-off-with-coil", leg) == expected
    assert answer(PLAIN, "bypass-comes-off-with-coil", "supply") == "-"


@pytest.mark.parametrize(
    ("stems", "expected"),
    [
        (("", ""), "cannot tell"),
        ((", stem up", ""), "cannot tell"),
        ((", stem up", ", stem level"), "yes"),
        ((", stem up", ", stem down"), "no"),
        (("", ", stem down"), "no"),
    ],
)
def test_stems(stems: tuple[str, str], expected: str) -> None:
    text = hookup(f"ball valve BV-1{stems[0]}; drain 3/4", f"vent 1/2; ball valve BV-2{stems[1]}")
    assert answer(text, "stem-below-level") == expected


@pytest.mark.parametrize(
    ("size", "said", "expected"),
    [
        ("4", "", "cannot tell"),
        ("4", ", chain wheel", "yes"),
        ("4", ", 7 ft above floor", "yes"),
        ("4", ", 2.2 m above floor", "no"),
        ("4", ", 2.2 m above floor, chain wheel", "yes"),
        ("3", ", 9 ft above floor", "-"),
    ],
)
def test_reach(size: str, said: str, expected: str) -> None:
    text = hookup(
        f"butterfly valve BV-1, lug{said}; drain 3/4", f"vent 1/2; butterfly valve BV-2, lug{said}",
        size=size, end=f"{size} flanged", spec="steel-welded",
    )  # fmt: skip
    assert answer(text, "valve-out-of-reach") == expected


def test_height_is_not_a_reason_for_a_line_of_its_own_in_the_bill() -> None:
    text = hookup("ball valve BV-1, 9 ft above floor; drain 3/4", "vent 1/2; ball valve BV-2, stem up")
    (component,) = [c for c in compiled(text).hookups[0].components() if c.tag == "BV-1"]
    assert component.remarks == () and component.fitted.above_floor_in == 108


@pytest.mark.parametrize(
    ("back", "expected"),
    [
        ("flexible connector FC-1; right 2 ft; vent 1/2", "cannot tell"),
        ("flexible connector FC-1; right 2 ft; hanger; right 2 ft; vent 1/2", "no"),
        ("right 2 ft; hanger; flexible connector FC-1; right 2 ft; vent 1/2", "yes"),
        ("vent 1/2; right 2 ft; hanger", "-"),
        ("vent 1/2; right 2 ft; hanger; flexible connector FC-1; pump P-1; flexible connector FC-2", "-"),
        ("vent 1/2; flexible connector FC-1; pump P-1; flexible connector FC-2", "-"),
    ],
)
def test_hanger_between_coil_and_flexible_connector(back: str, expected: str) -> None:
    text = hookup(SUPPLY, f"{back}; ball valve BV-2", size="1")
    assert answer(text, "flexible-connector-unheld", "return") == expected


@pytest.mark.parametrize(("size", "found"), [("1-1/2", 1), ("2", 0), ("2-1/2", 0)])
def test_size_of_a_flexible_connector(size: str, found: int) -> None:
    back = f"flexible connector {size}; vent 1/2; ball valve BV-2"
    text = hookup(SUPPLY, back, size="2", spec="steel-welded", end="2 male thread")
    assert [f.rule for f in compiled(text).findings].count("flexible-connector-small") == found


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("condensate outlet 1", "cannot tell"),
        ("draw-through 3 in wg; condensate trap 1", "cannot tell"),
        ("condensate trap 1, drop 4 in, seal 2 in", "cannot tell"),
        ("draw-through 3 in wg; condensate trap 1, drop 4 in, seal 2 in", "yes"),
        ("draw-through 3.1 in wg; condensate trap 1, drop 4 in, seal 2 in", "no"),
        ("draw-through 3 in wg; condensate trap 1, drop 6 in, seal 2 in", "no"),
        ("draw-through 3 in wg; condensate trap 1, drop 6 in, seal 3 in", "yes"),
        ("blow-through 2 in wg; condensate trap 1, drop 1/2 in, seal 2-1/2 in", "yes"),
        ("blow-through 2 in wg; condensate trap 1, drop 1/2 in, seal 2 in", "no"),
        ("blow-through 2 in wg; condensate trap 1, drop 1/4 in, seal 3 in", "no"),
    ],
)
def test_depth_of_a_condensate_trap(said: str, expected: str) -> None:
    assert answer(hookup(SUPPLY, BACK, coil=said), "condensate-trap-shallow") == expected


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("condensate outlet 1", "cannot tell"),
        ("condensate trap 1", "cannot tell"),
        ("condensate trap 1/2", "no"),
        ("condensate outlet 1/2; condensate trap 3/4", "yes"),
        ("condensate outlet 1; condensate trap 3/4", "no"),
    ],
)
def test_size_of_a_condensate_trap(said: str, expected: str) -> None:
    assert answer(hookup(SUPPLY, BACK, coil=said), "condensate-line-small") == expected


@pytest.mark.parametrize("rule", ["condensate-trap-shallow", "condensate-line-small", "condensate-line-flat"])
def test_nothing_said_of_condensate_nothing_asked(rule: str) -> None:
    assert answer(PLAIN, rule) == "-"


@pytest.mark.parametrize(
    ("line", "rule"),
    [
        ("condensate trap", "size-missing"),
        ("condensate trap 1, depth 3 in", "unknown-detail"),
        ("condensate trap 1, drop 4", "not-a-length"),
        ("draw-through 3 ft", "not-a-static-pressure"),
        ("condensate pitch", "quantity-missing"),
        ("condensate outlet 1-1/3", "no-such-size"),
    ],
)
def test_mistakes_in_lines_on_condensate(line: str, rule: str) -> None:
    found = compile_text(hookup(SUPPLY, BACK, coil=line), name="case.hookup").findings
    assert rule in [f.rule for f in found]


TWO = (CASES / "glycol-one-valve-from-water.fail.hookup").read_text(encoding="utf-8")
ONE_VALVE = "ball valve XV-1, normally closed, locked"
APART = {"glycol-one-valve-from-water", "glycol-without-bleed-from-water", "service-mix-up"}


@pytest.mark.parametrize(
    ("between", "found", "bleed"),
    [
        (ONE_VALVE, {"glycol-one-valve-from-water"}, "no"),
        ("spectacle blind SB-1, normally closed", set(), "blind or spool"),
        ("removable spool SP-1, normally closed", set(), "blind or spool"),
        ("spectacle blind SB-1", {"service-mix-up"}, "no"),
        ("ball valve XV-1, normally closed; removable spool SP-1", {"glycol-one-valve-from-water"}, "no"),
        ("ball valve XV-1, normally closed; removable spool SP-1, normally closed", set(), "blind or spool"),
        (
            "ball valve XV-1, normally closed; ball valve XV-2, normally closed",
            {"glycol-without-bleed-from-water"},
            "no",
        ),
    ],
)
def test_blinds_and_spools_keep_two_services_apart(between: str, found: set[str], bleed: str) -> None:
    assert TWO.count(ONE_VALVE) == 1
    made = compiled(TWO.replace(ONE_VALVE, between.replace("; ", "\n        ")))
    assert {f.rule for f in made.findings} & APART == found
    (row,) = separation(made.job).rows
    assert row.cells["bleed"] == bleed


def test_the_weakest_way_goes_round_a_blind_where_it_can() -> None:
    """Two crossovers, one blinded and one with two valves: the two valves are what keeps the liquids apart."""
    valve = "        ball valve XV-{}, normally closed\n"
    other = f"    crossover from T-2 to T-4, 2\n{valve.format(2)}        drain 3/4\n        vent 1/2\n{valve.format(3)}"
    text = TWO.replace(ONE_VALVE, "spectacle blind SB-1, normally closed")
    for coil in ("1", "2"):
        text = text.replace(
            f"        control valve TCV-{coil}", f"        tee T-{2 * int(coil)}\n        control valve TCV-{coil}"
        )
    made = compiled(text.rstrip() + "\n" + other)
    (row,) = separation(made.job).rows
    assert (row.cells["shut"], row.cells["bleed"]) == (2, "yes")


def test_an_open_blind_is_no_shutoff_of_a_coil() -> None:
    text = hookup("spectacle blind SB-1; drain 3/4", "vent 1/2; ball valve BV-2", size="2", spec="steel-welded")
    assert answer(text, "coil-not-isolated", "supply") == "no"


STEAM = ("drain-missing", "vent-missing", "blocked-in-water-indoors", "balancing-missing", "test-port-missing")


def test_what_water_needs_is_not_asked_of_steam() -> None:
    bare = hookup("ball valve BV-1", "ball valve BV-2", levels=("high", "low"))
    steam = bare.replace("    water\n", "    steam\n")
    on_water = {f.rule for f in compiled(bare).findings}
    on_steam = {f.rule for f in compiled(steam).findings}
    assert on_water >= set(STEAM) and not on_steam & set(STEAM)
    assert "steam-not-judged" in on_steam and "steam-not-judged" not in on_water
    assert answer(steam, "drain-missing") == "cannot tell" and answer(bare, "drain-missing") == "no"


@pytest.mark.parametrize(
    ("moves", "expected"),
    [("", "cannot tell"), ("up; ", "no"), ("up; left; ", "yes"), ("down; ", "yes")],
)
def test_a_strainer_where_water_rises(moves: str, expected: str) -> None:
    text = hookup(f"ball valve BV-1; drain 3/4; {moves}strainer ST-1; >strainer blowdown", BACK)
    assert answer(text, "strainer-in-upflow") == expected


@pytest.mark.parametrize(
    ("size", "holes", "expected"),
    [
        ("2", "", "cannot tell"),
        ("2", ", 0.045 in holes", "yes"),
        ("2", ", 1/16 in holes", "yes"),
        ("2", ", 2 mm holes", "no"),
        ("4", ", 1/8 in holes", "yes"),
        ("4", ", 0.13 in holes", "no"),
    ],
)
def test_holes_of_a_screen(size: str, holes: str, expected: str) -> None:
    text = hookup(
        f"butterfly valve BV-1, lug; drain 3/4; strainer ST-1{holes}; >strainer blowdown", "vent 1/2",
        size=size, end=f"{size} flanged", spec="steel-welded",
    )  # fmt: skip
    assert answer(text, "strainer-screen-coarse") == expected


@pytest.mark.parametrize(
    ("moves", "expected"),
    [
        ("", "cannot tell"),
        ("left; ", "yes"),
        ("up 2 ft; left 3 ft; ", "yes"),
        ("down 2 ft; left 3 ft; ", "yes"),
        ("down; left; up; left; ", "cannot tell"),
        ("down 1 ft; left 3 ft; up 4 ft; left 3 ft; ", "no"),
        ("down 4 ft; left 3 ft; up 1 ft; left 3 ft; ", "yes"),
    ],
)
def test_where_a_line_leaves_its_main(moves: str, expected: str) -> None:
    assert answer(hookup(moves + SUPPLY, BACK), "riser-off-bottom", "supply") == expected
    back = {"left": "right", "down": "up", "up": "down"}
    turned = "; ".join(
        f"{back[m.split()[0]]} {' '.join(m.split()[1:])}".strip() for m in moves.split("; ")[-2::-1] if m
    )
    assert answer(hookup(SUPPLY, f"{BACK}; {turned}" if turned else BACK), "riser-off-bottom", "return") == expected


@pytest.mark.parametrize(
    ("supply", "found"),
    [
        ("ball valve BV-1; drain 3/4", 1),
        ("drain 3/4; ball valve BV-1; drain 3/4", 0),
        ("ball valve BV-1; drain 3/4; drain 3/4", 1),
        ("drain 3/4; drain 3/4; ball valve BV-1", 1),
    ],
)
def test_a_pair_of_drains_to_fill_glycol_by(supply: str, found: int) -> None:
    water = hookup(supply, BACK)
    glycol = water.replace("    water\n", "    propylene glycol, 30 % by volume\n")
    assert [f.rule for f in compiled(glycol).findings].count("fill-pair-missing") == found
    assert "fill-pair-missing" not in [f.rule for f in compiled(water).findings]


@pytest.mark.parametrize(
    ("size", "back", "answered", "found"),
    [
        ("3/4", "vent 1/2; ball valve BV-2, with memory stop", "yes", 1),
        ("3/4", "vent 1/2; balancing valve FB-1; ball valve BV-2, with memory stop", "yes", 0),
        ("3/4", "vent 1/2; ball valve BV-2", "no", 0),
        ("3", "vent 1/2; ball valve BV-2, with memory stop", "no", 0),
    ],
)
def test_ball_valves_with_memory_stops_balance_small_units(size: str, back: str, answered: str, found: int) -> None:
    """1 text read is against them, 3 show them on units to NPS 2."""
    text = hookup("ball valve BV-1; drain 3/4", back, size=size, spec="steel-threaded")
    assert answer(text, "balancing-missing") == answered
    assert [f.rule for f in compiled(text).findings].count("ball-valve-balances") == found


@pytest.mark.parametrize(
    ("coil", "pump", "expected"),
    [
        ("flow 30 gpm", "", "cannot tell"),
        ("", ", 30 gpm", "cannot tell"),
        ("flow 30 gpm", ", 30 gpm", "yes"),
        ("flow 30 gpm", ", 1.8 L/s", "no"),  # 28.5 gpm
    ],
)
def test_flow_of_a_coil_and_its_pump(coil: str, pump: str, expected: str) -> None:
    ring = RING.format("", "").replace("pump P-1", f"pump P-1{pump}")
    text = hookup(ring, AWAY.format("", ""), coil=coil, more="bypass from T-2 to T-1, 3/4; >check valve CV-1")
    assert answer(text, "pump-under-coil-flow") == expected


def test_tubes_that_leave_no_bore() -> None:
    text = hookup(SUPPLY, BACK, coil="tubes 5/8 in; tube wall 0.4 in")
    found = compile_text(text, name="case.hookup").findings
    assert [f.rule for f in found if f.severity == "error"] == ["not-positive"]


@pytest.mark.parametrize(("size", "tag", "expected"), [("3/4", "", "-"), ("1", "", "no"), ("1", " BV-1", "yes")])
def test_tags_of_valves_above_three_quarters(size: str, tag: str, expected: str) -> None:
    text = hookup(f"ball valve{tag}; drain 3/4", "vent 1/2; ball valve BV-2", size=size)
    assert answer(text, "valve-untagged") == expected


def test_nothing_is_soldered_to_steel() -> None:
    text = compile_text_of("headers steel")
    assert "is a solder connection of carbon steel" in text
    assert compile_text_of("headers copper") == compile_text_of("headers steel", " copper") == ""


def compile_text_of(headers: str, metal: str = "") -> str:
    return "; ".join(
        f.message
        for f in compile_text(
            f"""\
service hot-water
    water
    design 125 psi, 70 degF to 180 degF
    spec copper-soldered
unit FC-1, airflow left to right
    coil HC on hot-water
        supply low, 3/4 solder{metal}
        return high, 3/4 solder{metal}
        {headers}
    supply to HC, 3/4
        from main HWS
        ball valve BV-1
    return from HC, 3/4
        ball valve BV-2
        to main HWR
"""
        ).findings
        if f.rule == "dissimilar-metals"
    )
