"""Changeover step by step: what is let out, what is filled and by which valve, and what is opened last."""

from __future__ import annotations

from cases import compiled, engine
from coilwright.analysis.changeover import Act, Changeover, changeovers

DUAL = """\
service chilled-water
    water
    design 125 psi, 42 degF to 95 degF
    spec steel-welded
service hot-glycol
    propylene glycol, 40 % by volume
    design 125 psi, 20 degF to 180 degF
    spec steel-welded

unit AH-12, airflow left to right
    coil CC on chilled-water
        supply low, 3 flanged
        return high, 3 flanged
    coil DC on hot-glycol
        supply low, 3 flanged
        return high, 3 flanged
    supply to DC, 3
        from main HGS
        butterfly valve BV-1, lug
        drain DV-1
        vent VV-1
        pump P-1, 3, flanged
        butterfly valve BV-2, lug
        tee T-1, 3
        drain DV-2
    return from DC, 3
        vent VV-2
        right 1 ft
        down 1 ft
        right 1 ft
        vent VV-3
        control valve TCV-1, 2-1/2, flanged, fails closed
        drain DV-3
        tee T-2, 3
        butterfly valve BV-3, lug
        drain DV-4
        vent VV-4
        butterfly valve BV-4, lug
        to main HGR
    tie from main CHS to T-1, 3
        butterfly valve XV-1, lug, normally closed, locked
        drain DV-5
        vent VV-5
        butterfly valve XV-2, lug, normally closed, locked
    tie from T-2 to main CHR, 3
        butterfly valve XV-3, lug, normally closed, locked
        drain DV-6
        vent VV-6
        butterfly valve XV-4, lug, normally closed, locked
    supply to CC, 3
        from main CHS
        butterfly valve BV-11, lug
    return from CC, 3
        butterfly valve BV-12, lug
        to main CHR

    lineup "winter"
        expect DC on hot-glycol
    lineup "summer"
        closed BV-1, BV-2, BV-3, BV-4
        open XV-1, XV-2, XV-3, XV-4
        expect DC on chilled-water
"""


def made(text: str = DUAL) -> list[Changeover]:
    one, sections, lineups = engine(text)
    return changeovers(one, sections, lineups)


def first(acts: list[Act], do: str, tag: str) -> int:
    return next(n for n, act in enumerate(acts) if do in act.do and tag in [valve.tag for valve in act.valves])


def test_each_piece_is_filled_with_its_vents_open_and_only_then_opened_on() -> None:
    """An empty coil beside a main that is opened wide would send its air down the main."""
    for change in made():
        assert not change.problem
        open_vents: set[str] = set()
        filled = 0
        for act in change.acts:
            tags = {valve.tag for valve in act.valves}
            if act.do == "open vent, then drain":
                open_vents |= {tag for tag in tags if tag.startswith("VV")}
            elif act.do == "shut vent":
                assert tags <= open_vents
                open_vents -= tags
            elif "crack open" in act.do:
                filled += 1
                assert open_vents, "something to let the air out"
            elif act.do in ("open", "unlock and open", "open fully"):
                assert not open_vents, f"{tags} while {open_vents} stand open"
        assert filled == 3 and not open_vents


def test_the_supply_fills_and_the_return_is_opened_last() -> None:
    there, back = (change.acts for change in made())
    assert first(there, "crack open", "XV-1") < first(there, "crack open", "XV-2") < first(there, "crack open", "XV-3")
    turned = [(act.do, act.valves[0].tag) for act in there if "open" in act.do and act.valves[0].tag[0] in "BX"]
    assert turned[-1] == ("unlock and open", "XV-4")
    assert [act.valves[0].tag for act in back if act.do == "open"] == ["BV-4"]


def test_vents_are_shut_from_the_lowest_up() -> None:
    there, _ = (change.acts for change in made())
    order = [act.valves[0].tag for act in there if act.do == "shut vent"]
    assert order == ["VV-5", "VV-3", "VV-2", "VV-6"], "the coil's two between those of the ties"


def test_the_control_valve_is_open_while_its_piece_is_let_out_and_filled() -> None:
    there, _ = (change.acts for change in made())
    driven, given = first(there, "drive open", "TCV-1"), first(there, "give back", "TCV-1")
    assert driven < first(there, "open vent, then drain", "DV-3") < first(there, "crack open", "XV-2") < given


def test_hot_glycol_cools_and_goes_to_a_container() -> None:
    there, back = (change.acts for change in made())
    (cool,) = [act for act in there if act.do == "let it cool" and act.then.startswith("coil DC")]
    assert "180 degF" in cool.then and "140 degF" in cool.then
    assert there.index(cool) < first(there, "open vent, then drain", "DV-2")
    assert "container" in there[first(there, "open vent, then drain", "DV-2")].then
    chilled = back[first(back, "open vent, then drain", "DV-2")]
    assert "chilled-water" in chilled.then and "container" not in chilled.then
    assert not [act for act in back if act.do == "let it cool" and act.then.startswith("coil DC")]


def test_locks_are_taken_off_by_whoever_set_them_and_put_on_again() -> None:
    there, back = (change.acts for change in made())
    for tag in ("XV-1", "XV-2", "XV-3", "XV-4"):
        act = there[first(there, "open", tag)]
        assert act.do.startswith("unlock and") and "whoever set it" in act.then
        assert "lock it shut" in back[first(back, "shut", tag)].then


def test_the_pump_is_stopped_before_the_valves_are_shut() -> None:
    there, _ = (change.acts for change in made())
    assert there[0].do == "stop the pump" and there[0].valves[0].tag == "P-1"
    assert there[-2].do == "start the pump" and there[-1].do == "vent again"


def test_the_list_says_so() -> None:
    (table,) = compiled(DUAL).tables(["changeover"])
    dos = [row.cells["do"] for row in table.rows]
    assert "unlock and crack open" in dos and "let it cool" in dos
