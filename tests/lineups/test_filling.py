"""Filling, testing and locking out by liquid ways: not through shut valves, not back through check valves."""

from __future__ import annotations

import pytest
from cases import compiled, engine
from coilwright.analysis.pieces import Piece, coil_piece, other_pieces
from coilwright.analysis.pressure_test import pressure_test
from coilwright.analysis.servicing import Task, drain, fill, lock_out
from coilwright.model.hookup import Component, Hookup

SERVICE = """\
service hot-glycol
    propylene glycol, 50 % by volume
    design 125 psi, -10 degF to 200 degF
    spec steel-welded
"""
#: A coil with its own pump; its return is led back to the pump through a check valve. With the four valves shut the
#: stretch from BV-1 to BV-3 hangs on the coil by the check valve alone, which lets water only out of the coil's side.
PUMPED = f"""\
{SERVICE}
unit A-1, airflow left to right
    coil PH on hot-glycol
        supply low, 3 flanged
        return high, 3 flanged
    supply to PH, 3
        from main HGS
        butterfly valve BV-1, lug
        left
        drain DV-1
        tee T-2
        butterfly valve BV-3, lug
        left
        drain DV-2
        vent VV-2
        pump P-1, 3, flanged
        gauge PI-1
        butterfly valve BV-4, lug
        drain DV-3
    return from PH, 3
        vent VV-1
        tee T-1
        right
        control valve TCV-1, 2, flanged, fails open
        drain DV-4
        butterfly valve BV-2, lug
        to main HGR
    bypass from T-1 to T-2, 3
        down
        drain DV-5
        check valve CV-1, flanged
        vent VV-3
        down
"""
#: The drain beside the coil's own shutoff is higher than the one at the foot of the return: by its place if `at` is
#: said, by the moves alone else.
FOOT = f"""\
{SERVICE}
unit A-1, airflow left to right
    coil PH on hot-glycol
        supply low, 3 flanged{{at_low}}
        return high, 3 flanged{{at_high}}
    supply to PH, 3
        from main HGS
        left 1 ft
        butterfly valve BV-1, lug
        left 1 ft
        drain DV-1
    return from PH, 3
        right 1 ft
        vent VV-1
        right 1 ft
        down{{down}}
        right 1 ft
        drain DV-2
        butterfly valve BV-2, lug
        to main HGR
"""


AT = ", at right 20 in, up {} in, toward 4 in"


def piece_of(text: str, coil: str = "PH") -> Piece:
    one, sections, lineups = engine(text)
    piece = coil_piece(one, sections, lineups, coil)
    assert piece is not None
    return piece


def proving(text: str) -> list[Task]:
    one, sections, lineups = engine(text)
    piece = coil_piece(one, sections, lineups, "PH")
    assert piece is not None
    return pressure_test(one, sections, piece)


def of(tasks: list[Task], do: str) -> list[str]:
    return [thing.tag or thing.called for task in tasks if task.do == do for thing in task.things]


def look(tasks: list[Task], do: str) -> str:
    return next(task.look for task in tasks if task.do == do)


def wetted(hookup: Hookup, start: str, shut: set[str]) -> set[str]:
    """A plain walk over the joints from a valve: through nothing that is shut, through a check valve only forward."""
    wet, more = {start}, True
    while more:
        more = False
        for u, v, joint in hookup.joints():
            for here, there, port in ((u, v, joint.port_b), (v, u, joint.port_a)):
                kind = hookup.component(there).kind
                leaves = joint.port_a if here == u else joint.port_b
                back = (kind.can("checks") and port == "out") or (
                    hookup.component(here).kind.can("checks") and leaves == "in"
                )
                if here in wet and there not in wet and there not in shut and not back:
                    wet.add(there)
                    more = True
    return wet


def test_water_that_goes_in_gets_to_the_coil_and_to_every_vent() -> None:
    one, sections, lineups = engine(PUMPED)
    piece = coil_piece(one, sections, lineups, "PH")
    assert piece is not None
    for tasks in (fill(piece), pressure_test(one, sections, piece)):
        (entry,) = of(tasks, "fill slowly at")
        wet = wetted(one, entry, {"BV-1", "BV-2", "BV-3", "BV-4"})
        assert {"PH", "VV-1", "VV-3"} <= wet, f"from {entry}"
        assert "check valve bars the way" in look(tasks, "fill slowly at")
    assert "PH" not in wetted(one, "DV-1", {"BV-1", "BV-2", "BV-3", "BV-4"}), "which is the lowest"


def test_the_test_pump_goes_where_the_water_went_in() -> None:
    tasks = proving(PUMPED)
    assert of(tasks, "put the test pump on") == of(tasks, "fill slowly at")
    dos = [task.do for task in tasks]
    assert dos.index("shut vent") < dos.index("put the test pump on") < dos.index("raise slowly to 187.5 psi")


def test_where_no_opening_fills_it_that_is_said() -> None:
    bare = "\n".join(
        line for line in PUMPED.splitlines() if line.strip() not in ("drain DV-3", "drain DV-4", "drain DV-5")
    )
    tasks = fill(piece_of(bare))
    assert of(tasks, "fill slowly at") == ["BV-2"], "by its own main, the return: the supply is beyond the check valve"
    barred = bare.replace(
        "        butterfly valve BV-2", "        check valve CV-3, flanged\n        butterfly valve BV-2"
    )
    (missing,) = [task for task in fill(piece_of(barred)) if task.do == "cannot fill"]
    assert missing.bad and "no drain or vent lets coil PH fill: put one in between" in missing.look
    assert all(tag in missing.look for tag in ("BV-4", "CV-1", "BV-2"))
    assert "not tested" in look(proving(barred), "cannot fill")


def test_two_drains_fill_what_check_valves_part_both_ways() -> None:
    """Two check valves that point at each other's backs: each side is filled from its own drain."""
    text = PUMPED.replace(
        "        drain DV-3\n", "        drain DV-3\n        check valve CV-2, flanged\n        vent VV-4\n"
    )
    text = text.replace("        drain DV-4\n", "").replace("        drain DV-5\n", "")
    one, sections, lineups = engine(text)
    piece = coil_piece(one, sections, lineups, "PH")
    assert piece is not None
    tasks = fill(piece)
    wet = set().union(*(wetted(one, at, {"BV-1", "BV-2", "BV-3", "BV-4"}) for at in of(tasks, "fill slowly at")))
    assert {"PH", "VV-1", "VV-3", "VV-4"} <= wet and sorted(of(tasks, "shut vent")) == ["VV-1", "VV-3", "VV-4"]


def test_pressure_beyond_a_check_valve_is_let_out_or_named() -> None:
    """The vent beyond the check valve is gone, and the drain of the stretch: nothing lets the pressure there out."""
    text = PUMPED.replace("        vent VV-3\n", "").replace("        drain DV-1\n", "")
    tasks = lock_out(piece_of(text))
    assert "CV-1" in look(tasks, "still under pressure") and "open no joint" in look(tasks, "still under pressure")
    assert "proves nothing" in look(tasks, "prove")
    assert "still under pressure" not in [task.do for task in lock_out(piece_of(PUMPED))]
    drained = PUMPED.replace("        vent VV-3\n", "")
    assert "DV-1" in of(proving(drained), "let down"), "the vents on the coil's side let down nothing beyond the check"


@pytest.mark.parametrize(
    ("low", "high", "down", "entry", "says"),
    [
        (AT.format(12), AT.format(60), " 12 ft", "DV-2", "its lowest"),
        (AT.format(12), AT.format(60), " 2 ft", "DV-1", "its lowest"),
        ("", "", "", "DV-1", "does not tell"),
    ],
)
def test_the_lowest_drain_is_the_lowest_by_measure_or_is_not_called_so(
    low: str, high: str, down: str, entry: str, says: str
) -> None:
    """+12 in against 60 in less 12 ft, then against 60 in less 2 ft; without lengths nobody knows."""
    tasks = fill(piece_of(FOOT.format(at_low=low, at_high=high, down=down)))
    if says == "its lowest":
        assert of(tasks, "fill slowly at") == [entry]
    assert says in look(tasks, "fill slowly at")
    assert ("its lowest" in look(tasks, "fill slowly at")) == (says == "its lowest")


def test_moves_alone_tell_which_drain_is_the_lowest() -> None:
    text = FOOT.format(at_low="", at_high="", down=" 12 ft").replace(
        "drain DV-1", "down 1 ft\n        left 1 ft\n        drain DV-1\n        left 1 ft"
    )
    text = text.replace(
        "drain DV-1\n        left 1 ft\n", "drain DV-1\n        left 1 ft\n        up 2 ft\n        drain DV-3\n"
    )
    text = text.replace("        drain DV-2\n", "")
    assert look(fill(piece_of(text)), "fill slowly at").startswith("its lowest drain")
    assert of(fill(piece_of(text)), "fill slowly at") == ["DV-1"]


def test_vents_are_shut_from_the_lowest_up_through_a_check_valve() -> None:
    """The bypass falls from the coil's return: its vent lies lower, beyond the check valve."""
    assert of(fill(piece_of(PUMPED)), "shut vent") == ["VV-3", "VV-1"]
    assert of(drain(piece_of(PUMPED)), "open vent") == ["VV-1", "VV-3"], "the highest first"


def test_back_on_its_mains_the_return_is_opened_last_and_the_pump_started() -> None:
    tasks = fill(piece_of(PUMPED))
    assert of(tasks, "open") == ["BV-1", "BV-3", "BV-4", "BV-2"]
    dos = [task.do for task in tasks]
    assert dos.index("open") < dos.index("give back") < dos.index("start the pump") < dos.index("vent again")


def test_of_several_returns_the_one_to_the_main_is_opened_last() -> None:
    text = PUMPED.replace("        vent VV-1\n", "        vent VV-1\n        butterfly valve BV-5, lug\n")
    text = text.replace("        tee T-1\n", "        vent VV-5\n        tee T-1\n")
    one, sections, _ = engine(text)
    (piece,) = [piece for piece in other_pieces(one, sections) if "BV-5" in [v.tag for v in piece.shutoffs]]
    assert of(fill(piece), "open")[-2:] == ["BV-5", "BV-2"]


def test_a_three_way_valve_that_comes_out_is_stood_in_for_by_three_ends() -> None:
    text = PUMPED.replace(
        "        pump P-1, 3, flanged\n", "        three-way control valve TCV-2, 3, flanged, mixing\n"
    )
    text = text.replace("bypass from T-1 to T-2, 3", "bypass from T-1 to TCV-2 bypass, 3").replace(
        "        tee T-2\n", ""
    )
    one, sections, _ = engine(text.replace("check valve CV-1, flanged", "butterfly valve BV-6, lug"))
    (piece,) = [piece for piece in other_pieces(one, sections) if piece.controls]
    outs = [task for task in pressure_test(one, sections, piece) if task.do == "take out"]
    assert [(of([task], "take out"), "three ends" in task.look) for task in outs] == [(["TCV-2"], True)]


LOOP = """\
service recovery
    ethylene glycol, 30 % by volume
    design 100 psi, 15 degF to 100 degF
    spec steel-welded

kind expansion tank
    ports end
    group equipment
    closes
    ends threaded, 1/2 to 2, steel

unit HR-1, airflow left to right
    coil EXH on recovery
        supply low, 3 flanged
        return high, 3 flanged
    coil OA on recovery
        supply low, 3 flanged
        return high, 3 flanged
    warm from EXH return to OA supply, 3
        vent 1/2
        butterfly valve BV-1, lug
        drain 3/4
        vent 1/2
        butterfly valve BV-2, lug
        drain 3/4
    cold from OA return to EXH supply, 3
        vent 1/2
        butterfly valve BV-3, lug
        drain 3/4
        vent 1/2
        pump P-1, 3, flanged
        tee T-3, 1
            ball valve BV-7, 1, locked, normally open
            expansion tank ET-1, 1
        butterfly valve BV-4, lug
        drain 3/4
"""


def test_the_valve_of_an_expansion_tank_is_opened_first() -> None:
    one, sections, _ = engine(LOOP)
    (piece,) = [piece for piece in other_pieces(one, sections) if piece.pumps and len(piece.shutoffs) == 3]
    tasks = fill(piece)
    assert of(tasks, "open")[0] == "BV-7" and "lock it open" in look(tasks, "open")
    assert of(tasks, "unlock and shut") == ["BV-7"] and "whoever set it" in look(tasks, "unlock and shut")
    assert piece.name() == "the piece with pump P-1"


def test_a_piece_of_many_valves_without_a_pump_names_them_by_comma() -> None:
    text = LOOP.replace("        pump P-1, 3, flanged\n", "")
    one, sections, _ = engine(text)
    names = [piece.name() for piece in other_pieces(one, sections)]
    assert "the piece between BV-3, BV-7 and BV-4" in names


def test_what_is_hot_cools_before_it_is_opened_and_glycol_goes_to_a_container() -> None:
    for tasks in (drain(piece_of(PUMPED)), lock_out(piece_of(PUMPED)), proving(PUMPED)):
        dos = [task.do for task in tasks]
        assert dos.index("let it cool") < dos.index("open vent")
        assert "200 degF" in look(tasks, "let it cool") and "140 degF" in look(tasks, "let it cool")
        assert look(tasks, "open drain") == "to a container: it is glycol"
    cool = PUMPED.replace("200 degF", "120 degF")
    assert "let it cool" not in [task.do for task in drain(piece_of(cool))]
    assert "not with plain water" in look(fill(piece_of(PUMPED)), "fill slowly at")
    assert "plain water" not in look(proving(PUMPED), "fill slowly at"), "a test is with water"


def test_cocks_of_gauges_are_shut_for_the_test() -> None:
    one, sections, _ = engine(PUMPED)
    (piece,) = other_pieces(one, sections)
    tasks = pressure_test(one, sections, piece)
    dos = [task.do for task in tasks]
    cocks: list[Component] = [thing for task in tasks if task.do == "shut cock" for thing in task.things]
    assert [cock.kind.name for cock in cocks] == ["gauge cock"]
    assert dos.index("shut cock") < dos.index("raise slowly to 187.5 psi") < dos.index("open cock")


def test_an_automatic_vent_is_neither_turned_by_hand_nor_under_test() -> None:
    text = PUMPED.replace("        vent VV-1\n", "        automatic air vent AV-1, 3/4\n")
    tasks = fill(piece_of(text))
    assert "AV-1" not in [tag for do in ("open vent", "shut vent", "vent again") for tag in of(tasks, do)]
    tasks = proving(text)
    assert [of(tasks, do).count("AV-1") for do in ("take out or blank", "put back")] == [1, 1], (
        "once, not for each reason"
    )


def test_without_anything_that_opens_the_pump_goes_on_the_jumper_or_nowhere() -> None:
    bare = "\n".join(
        line for line in PUMPED.splitlines() if line.strip().split(" ")[0] not in ("drain", "vent", "bypass", "down")
    )
    bare = bare.replace("        check valve CV-1, flanged\n", "").replace("        tee T-1\n", "")
    bare = bare.replace("        check valve CV-1, flanged", "").replace("        tee T-2\n", "")
    tapped = bare.replace("3 flanged\n        return high", "3 flanged\n        drain tap 1/2\n        return high")
    assert "jumper" in look(proving(tapped), "put the test pump on")
    assert proving(bare)[-1].do == "stop here"
    rated = bare.replace("        return high, 3 flanged", "        return high, 3 flanged\n        rated 300 psi")
    rated = rated.replace("        control valve TCV-1, 2, flanged, fails open\n", "")
    dos = [task.do for task in proving(rated)]
    assert "cannot test" in dos and not [do for do in dos if do.startswith("raise")]


def test_the_lists_print_it() -> None:
    (table,) = compiled(PUMPED).tables(["drain-and-fill"])
    row = next(row for row in table.rows if row.cells["do"] == "fill slowly at")
    assert "check valve" in str(row.cells["look"])
