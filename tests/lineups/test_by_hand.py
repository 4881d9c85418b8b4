"""Lineups worked by hand on small hookups."""

from __future__ import annotations

from itertools import pairwise

import pytest
from cases import PAIR, compiled, engine, hookup
from coilwright.analysis.apart import all_apart
from coilwright.analysis.changeover import changeovers
from coilwright.analysis.pieces import coil_piece
from coilwright.analysis.saying import called

GLYCOL = "chilled-glycol"


def found(text: str) -> list[tuple[str, str]]:
    """What rules on lineups find: name and message."""
    names = ("lineup-", "coil-without-flow", "valve-position-unsaid")
    return [(f.rule, f.message) for f in compiled(text).findings if f.rule.startswith(names)]


def test_a_sound_pair_has_nothing_against_it() -> None:
    assert found(PAIR) == []


def test_what_stands_and_flows_where() -> None:
    one, _, lineups = engine(PAIR)
    separate, both = (lineups.stand(lineup) for lineup in one.lineups)
    assert separate.standing("PRE") == ("well-water",) and both.standing("PRE") == (GLYCOL,)
    assert separate.standing("XV-1") == (GLYCOL,), "on its other side the piece is shut in"
    assert set(both.standing("BV-3")) == {"well-water", GLYCOL}
    assert separate.flowing("TRIM") == (True, 1)
    assert separate.flowing("XV-1") == (False, 0)
    assert both.flowing("XV-1") == (True, 1)
    assert both.flowing("XV-2") == (True, -1), "the return crossover is drawn from glycol to water, and flows back"


def test_the_way_that_proves_an_expectation() -> None:
    one, _, lineups = engine(PAIR)
    way = lineups.stand(one.lineups[1]).coil_way("PRE", GLYCOL)
    assert way is not None and not way.backward
    tags = [one.component(id).tag for id in way.path]
    wanted = ["CGS", "BV-1", "T-1", "XV-1", "XV-3", "T-3", "PRE", "T-4", "XV-4", "XV-2", "T-2", "BV-2", "CGR"]
    assert [tag for tag in tags if tag] == wanted


def test_two_shut_valves_with_a_bleed_between() -> None:
    one, _, lineups = engine(PAIR)
    (apart,) = all_apart(lineups.stand(one.lineups[0]))
    assert len(apart.valves) == 2 and apart.bled
    assert apart.parting is not None and len(apart.parting) == 2
    bleed = "        drain 3/4\n        vent 1/2\n        ball valve XV-4"
    one, _, lineups = engine(PAIR.replace(bleed, "        ball valve XV-4"))
    (without,) = all_apart(lineups.stand(one.lineups[0]))
    assert len(without.valves) == 2 and not without.bled


def test_the_fewest_shut_valves_are_counted_on_the_weakest_way() -> None:
    text = PAIR.replace("        drain 3/4\n        vent 1/2\n        ball valve XV-4, normally closed\n", "")
    text = text.replace(", XV-4", "")
    one, _, lineups = engine(text)
    (apart,) = all_apart(lineups.stand(one.lineups[0]))
    assert [v.tag for v in apart.valves] == ["XV-2"] and not apart.bled


CLOSED, OPEN = "closed BV-3, BV-4", "open XV-1, XV-2, XV-3, XV-4"
EXPECT = "expect PRE on chilled-glycol"
FAULTS = {
    "lineup-contradicts-itself": [
        (CLOSED, f"{CLOSED}, XV-1", "`XV-1` both open and closed"),
        (EXPECT, f"expect PRE on well-water\n        {EXPECT}", "on `well-water` and on `chilled-glycol`"),
    ],
    "lineup-sets-no-valve": [(CLOSED, f"{CLOSED}, T-3", "closes `T-3`, which is a tee")],
    "lineup-expectation-unmet": [
        (OPEN, "open XV-1, XV-2", "coil `PRE` carries nothing, not `chilled-glycol`"),
        (f"{CLOSED}\n        {OPEN}\n        ", "", "coil `PRE` carries `well-water`, not `chilled-glycol`"),
    ],
    "coil-without-flow": [(CLOSED, f"{CLOSED}, BV-2", "nothing flows through coil `PRE`")],
    "lineup-mixes-services": [(CLOSED, "closed BV-4", "stand open to each other")],
}


@pytest.mark.parametrize(("rule", "change"), [(rule, change) for rule, some in FAULTS.items() for change in some])
def test_what_each_rule_finds(rule: str, change: tuple[str, str, str]) -> None:
    old, new, words = change
    assert old in PAIR
    made = found(PAIR.replace(old, new))
    assert any(name == rule and words in message for name, message in made), made


def test_a_lineup_that_contradicts_itself_hides_nothing_else() -> None:
    text = PAIR.replace("closed BV-3, BV-4", "closed BV-3, BV-4, XV-1").replace("ball valve BV-1; ", "")
    text = text.replace('lineup "separate"\n', 'lineup "separate"\n        closed BV-2\n')
    made = found(text)
    assert [name for name, _ in made] == ["coil-without-flow", "lineup-contradicts-itself"]


@pytest.mark.parametrize(
    "change",
    [
        ("open XV-1, XV-2, XV-3, XV-4", "open XV-1, XV-2"),
        ("open XV-1, XV-2, XV-3, XV-4", "open XV-1, XV-3, XV-2"),
        ("closed BV-3, BV-4", "closed BV-4"),
        ("        closed BV-3, BV-4\n", ""),
    ],
)
def test_the_mend_pasted_into_the_lineup_settles_it(change: tuple[str, str]) -> None:
    text = PAIR.replace(*change)
    for _ in range(3):
        left = [f for f in compiled(text).findings if f.rule.startswith(("lineup", "coil-without"))]
        if not left:
            return
        (edit,) = left[0].mend
        assert (edit.do, edit.where) == ("add", "last under")
        assert text.split("\n")[edit.at.line - 1].strip().startswith("lineup")
        text = text.replace("        expect PRE on chilled", f"        {edit.new[0]}\n        expect PRE on chilled")
    pytest.fail(f"still found: {[f.message for f in left]}")


def test_a_check_valve_lets_pass_one_way_only() -> None:
    forward = {"CC": (GLYCOL, "ball valve BV-1; check valve CV-1; drain 3/4", "vent 1/2; ball valve BV-2")}
    lineup = '    lineup "run"\n        expect CC on chilled-glycol\n'
    assert found(hookup(forward, lineup)) == []
    crossed = {
        "A": (GLYCOL, "ball valve BV-1; tee T-1; drain 3/4", "vent 1/2; ball valve BV-2"),
        "B": (GLYCOL, "ball valve BV-3; tee T-3; drain 3/4", "vent 1/2; ball valve BV-4"),
    }
    more = "    crossover from T-{} to T-{}, 1\n        check valve CV-1\n"
    more += '    lineup "A down"\n        closed BV-1\n        expect A on chilled-glycol\n'
    assert found(hookup(crossed, more.format(3, 1))) == []
    assert [name for name, _ in found(hookup(crossed, more.format(1, 3)))] == ["coil-without-flow"]


def test_the_shortest_way_to_a_coil_is_not_always_the_one_that_leaves_a_way_back() -> None:
    """The short supply of B takes the tee by which alone it can return: the way has to go round by the other."""
    coils = {
        "A": (GLYCOL, "tee T-1; ball valve BV-1; tee T-2", "tee T-5; ball valve BV-2"),
        "B": (
            GLYCOL,
            "ball valve BV-3, normally closed; tee T-3; tee T-4",
            "tee T-6; ball valve BV-4, normally closed",
        ),
    }
    more = """\
    crossover from T-2 to T-6, 1
    crossover from T-1 to T-3, 1
    crossover from T-4 to T-5, 1
    lineup "round"
        expect B on chilled-glycol
"""
    one, _, lineups = engine(hookup(coils, more))
    stands = lineups.stand(one.lineups[0])
    way = stands.coil_way("B", GLYCOL)
    assert way is not None
    tags = [one.component(id).tag for id in way.path if one.component(id).tag]
    assert "B" in tags and len(set(tags)) == len(tags)


def test_a_coil_in_series_with_another_cannot_be_locked_out_alone() -> None:
    text = hookup({"A": (GLYCOL, "ball valve BV-1", "tee T-1; ball valve BV-2")})
    second = f"    coil B on {GLYCOL}\n        supply low, 1 male thread\n        return high, 1 male thread\n"
    text = text.replace("    supply to A", f"{second}    supply to A")
    more = "    series from T-1 to B supply, 1\n        strainer ST-1\n"
    more += "    return from B, 1\n        ball valve BV-3\n        to main CGR\n"
    one, sections, lineups = engine(text.replace("\nunit", f"{more}\nunit"))
    piece = coil_piece(one, sections, lineups, "A")
    assert piece is not None
    assert piece.open_to == "A - T-1 - ST-1 - B"


def test_a_loop_without_mains_flows_by_its_pump() -> None:
    text = """\
service run-around
    propylene glycol, 40 % by volume
    spec steel-threaded

typical ring
    coil EXHAUST on run-around
        supply low, 1 male thread
        return high, 1 male thread
    coil OUTSIDE on run-around
        supply low, 1 male thread
        return high, 1 male thread
    run-around from EXHAUST return to OUTSIDE supply, 1
        ball valve BV-1
        pump P-1
    run-around from OUTSIDE return to EXHAUST supply, 1
        ball valve BV-2
    lineup "winter"
        expect OUTSIDE on run-around
    lineup "summer"
        closed BV-2
        expect OUTSIDE on run-around

unit U-1 is ring
"""
    assert found(text) == [("coil-without-flow", 'nothing flows through coil `OUTSIDE` in lineup "summer"')]


def test_a_mixing_valve_recirculates() -> None:
    """The bypass flows from the return to the valve, though a way from the supply could be drawn the other way."""
    text = """\
service hot-glycol
    propylene glycol, 40 % by volume
    spec steel-threaded

typical preheat
    coil PHC on hot-glycol
        supply low, 1 male thread
        return high, 1 male thread
    supply to PHC, 1
        from main HGS
        ball valve BV-1
        three-way control valve TCV-1, mixing
        pump P-1
    return from PHC, 1
        tee T-1
        ball valve BV-2
        to main HGR
    bypass from T-1 to TCV-1 bypass, 1
        strainer ST-1

unit U-1 is preheat
"""
    _, _, lineups = engine(text)
    stands = lineups.with_shut(frozenset())
    assert stands.flowing("ST-1") == (True, 1) and stands.flowing("PHC") == (True, 1)
    assert stands.coil_way("PHC", "hot-glycol") is not None


def test_a_crossover_between_two_supplies_hangs_on_the_pressures() -> None:
    coils = {
        "A": (GLYCOL, "ball valve BV-1; tee T-1", "tee T-2; ball valve BV-2"),
        "B": (GLYCOL, "ball valve BV-3; tee T-3", "tee T-4; ball valve BV-4"),
    }
    more = "    crossover from T-1 to T-3, 1\n        ball valve XV-1\n"
    more += "    crossover from T-2 to T-4, 1\n        ball valve XV-2\n"
    _, _, lineups = engine(hookup(coils, more))
    stands = lineups.with_shut(frozenset())
    assert stands.flowing("XV-1") == (True, 0) and stands.flowing("BV-1") == (True, 1)


def test_changeover_of_the_pair() -> None:
    one, sections, lineups = engine(PAIR)
    there, back = changeovers(one, sections, lineups)
    assert not there.problem and not back.problem
    steps = [(act.do, [called(v) for v in act.valves if v.tag]) for act in there.acts]
    turned = [tags[0] for do, tags in steps if do in ("shut", "crack open", "open") and tags]
    assert turned == ["BV-3", "BV-4", "XV-1", "XV-3", "XV-2", "XV-4"]
    assert [do for do, _ in steps].index("prove") < [do for do, _ in steps].index("crack open")
    assert any("well-water runs out of coil PRE" in act.then for act in there.acts)
    assert any("coil tubes of PRE do not drain empty" in act.then for act in there.acts)


def test_a_coil_that_cannot_be_drained_mixes_in_any_order() -> None:
    supply = "    supply to PRE, 1\n        from main WWS\n        ball valve BV-3\n        tee T-3\n"
    assert supply + "        drain 3/4\n" in PAIR
    one, sections, lineups = engine(PAIR.replace(supply + "        drain 3/4\n", supply))
    there, _ = changeovers(one, sections, lineups)
    assert there.problem.startswith("in any order") and "well-water" in there.problem and GLYCOL in there.problem
    assert any(act.do == "cannot drain" for act in there.acts)


def test_a_lineup_that_mixes_cannot_be_reached_safely() -> None:
    one, sections, lineups = engine(PAIR.replace("closed BV-3, BV-4", "closed BV-3"))
    assert all(made.problem for made in changeovers(one, sections, lineups))


def test_ring_of_crossovers_among_fifty_coils() -> None:
    """No search grows with the number of ways through the ring."""
    tags = [f"C-{n}" for n in range(1, 51)]
    coils = {
        tag: (GLYCOL, f"ball valve A-{n}; tee S-{n}; tee P-{n}", f"tee Q-{n}; tee R-{n}; ball valve B-{n}")
        for n, tag in enumerate(tags, 1)
    }
    rings = ""
    for a, b in pairwise([*range(1, 51), 1]):
        rings += f"    crossover from S-{a} to P-{b}, 1\n        ball valve X-{a}, normally closed\n"
        rings += f"    crossover from Q-{a} to R-{b}, 1\n        ball valve Y-{a}, normally closed\n"
    opened = ", ".join(f"{letter}-{n}" for n in range(1, 51) for letter in "XY")
    shut = ", ".join(f"{letter}-{n}" for n in range(2, 51) for letter in "AB")
    more = f'{rings}    lineup "all from the first"\n        open {opened}\n        closed {shut}\n'
    more += "".join(f"        expect {tag} on chilled-glycol\n" for tag in tags)
    made = compiled(hookup(coils, more))
    (checked,) = made.checked
    said = {tag: checked.verdicts["coil-without-flow", "", tag].answer for tag in tags}
    assert said == dict.fromkeys(tags, "yes")
