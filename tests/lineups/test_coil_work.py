"""Draining, filling, testing and locking out a coil, and what stays trapped, worked by hand."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from cases import PAIR, compiled, engine, hookup
from coilwright import compile_file
from coilwright.analysis.lineups import worked_out
from coilwright.analysis.pieces import Piece, coil_piece, other_pieces
from coilwright.analysis.pressure_test import Proof, pressure_test, proof_of
from coilwright.analysis.saying import called
from coilwright.analysis.sections import Sections
from coilwright.analysis.servicing import Task, drain, fill, lock_out
from coilwright.analysis.trapped import trapped_gallons
from coilwright.model.table import NOT_MEASURED, Unknown

EXAMPLES = Path(__file__).parents[2] / "examples"
GLYCOL = "chilled-glycol"
#: The supply rises to the coil and the return falls from it; a second, higher vent stands on a loop of the return.
SUPPLY = "ball valve BV-1; drain 3/4; up 4 ft; left 1 ft; strainer ST-1; drain 3/4"
RETURN = "vent 1/2; up 2 ft; left 1 ft; vent 1/2; down 6 ft; left 1 ft; drain 3/4; ball valve BV-2"


def tall() -> str:
    return hookup({"CC": (GLYCOL, SUPPLY, RETURN)})


def piece_of(text: str, coil: str = "CC") -> Piece:
    one, sections, lineups = engine(text)
    piece = coil_piece(one, sections, lineups, coil)
    assert piece is not None
    return piece


def said(tasks: list[Task]) -> list[str]:
    return [f"{task.do} {', '.join(called(thing) for thing in task.things)}".strip() for task in tasks]


def line(text: str, words: str, which: int = 0) -> str:
    """`line 27`: where some words stand in the text."""
    return f"line {[n for n, row in enumerate(text.splitlines(), 1) if row.strip() == words][which]}"


def test_draining_opens_the_highest_vent_first_and_the_lowest_drain_last() -> None:
    text = tall()
    steps = said(drain(piece_of(text)))
    assert steps[:2] == ["shut BV-1", "shut BV-2"]
    assert steps[2:4] == [f"open vent {line(text, 'vent 1/2', 1)}", f"open vent {line(text, 'vent 1/2', 0)}"]
    assert steps[4] == f"open drain {line(text, 'drain 3/4', 1)}", "the one beside the coil is the highest drain"
    assert set(steps[5:7]) == {f"open drain {line(text, 'drain 3/4', n)}" for n in (0, 2)}
    assert steps[7:] == ["then CC"]


def test_tubes_are_never_called_empty() -> None:
    assert "tubes do not drain empty" in drain(piece_of(tall()))[-1].look


def test_filling_goes_in_at_the_lowest_drain_and_shuts_the_lowest_vent_first() -> None:
    text = tall()
    steps = said(fill(piece_of(text)))
    vents = [f"shut vent {line(text, 'vent 1/2', n)}" for n in (0, 1)]
    assert [step for step in steps if step.startswith("shut vent")] == vents
    entry = next(step for step in steps if step.startswith("fill slowly at"))
    assert entry.removeprefix("fill slowly at ") in {line(text, "drain 3/4", n) for n in (0, 2)}
    shut_again = f"shut drain {entry.removeprefix('fill slowly at ')}"
    assert steps.index(shut_again) > steps.index(entry)
    assert steps.index("open BV-1") < steps.index("open BV-2")
    assert steps.index("open BV-1") > steps.index(shut_again)


def test_lockout_shuts_locks_lets_out_and_proves() -> None:
    steps = said(lock_out(piece_of(tall())))
    order = ["shut", "lock and tag", "open vent", "open drain", "prove"]
    firsts = [next(n for n, step in enumerate(steps) if step.startswith(word)) for word in order]
    assert firsts == sorted(firsts) and steps[firsts[1]] == "lock and tag BV-1, BV-2"


def test_lockout_opens_the_control_valve_before_it_proves() -> None:
    """A valve that fails closed would hide the pressure between itself and the shutoff, where nothing opens."""
    text = hookup({"CC": (GLYCOL, SUPPLY, "vent 1/2; control valve TCV-1, fails closed; ball valve BV-2")})
    tasks = lock_out(piece_of(text))
    dos = [task.do for task in tasks]
    assert dos.index("lock and tag") < dos.index("drive open") < dos.index("open vent") < dos.index("prove")
    assert [called(thing) for thing in tasks[dos.index("drive open")].things] == ["TCV-1"]
    assert "control valve" in tasks[-1].look
    assert "drive open" in [task.do for task in drain(piece_of(text))], "draining says the same"
    assert "drive open" not in [task.do for task in lock_out(piece_of(tall()))]


def test_a_three_way_valve_is_driven_half_open() -> None:
    one = compile_file(EXAMPLES / "preheat-pumped.hookup").hookups[0]
    sections = Sections(one)
    piece = coil_piece(one, sections, worked_out(one, sections), "PHC")
    assert piece is not None
    for tasks in (drain(piece), fill(piece), lock_out(piece)):
        assert "drive half open" in [task.do for task in tasks] and "drive open" not in [task.do for task in tasks]


def test_lockout_of_one_of_a_pair_shuts_the_crossovers_too() -> None:
    piece = piece_of(PAIR, "PRE")
    assert {v.tag for v in piece.shutoffs} == {"BV-3", "BV-4", "XV-3", "XV-4"} and not piece.open_to


def test_a_coil_without_a_shutoff_cannot_be_locked_out() -> None:
    piece = piece_of(tall().replace("        ball valve BV-2\n", ""))
    assert piece.open_to.startswith("CC") and piece.open_to.endswith("CGR")
    for tasks in (drain(piece), fill(piece), lock_out(piece)):
        assert tasks[-1].bad and "no shutoff bars the way" in tasks[-1].look


def test_nothing_to_open_is_said() -> None:
    bare = hookup({"CC": (GLYCOL, "ball valve BV-1", "ball valve BV-2")})
    tasks = lock_out(piece_of(bare))
    assert [task.do for task in tasks if task.bad] == ["let air in", "cannot drain", "stays full", "cannot prove"]
    assert "air stays" in [task.do for task in fill(piece_of(bare)) if task.bad]


def test_no_other_service_is_let_in_to_fill_a_coil() -> None:
    """Without a drain TRIM is filled by its own shutoff, never by a crossover, though that comes first in the file."""
    open_cross = PAIR.replace("        tee T-1\n        drain 3/4\n", "        tee T-1\n")
    piece = piece_of(open_cross, "TRIM")
    assert [v.tag for v in piece.fed_by] == ["BV-1", "BV-2"]
    assert "fill slowly at BV-1" in said(fill(piece))
    mixing = open_cross.replace("ball valve XV-1, normally closed", "ball valve XV-1").replace(
        "ball valve XV-3, normally closed", "ball valve XV-3"
    )
    tasks = fill(piece_of(mixing, "TRIM"))
    assert tasks[-1].do == "stop here" and "meets" in tasks[-1].look
    assert not [task for task in tasks if task.do == "open"]


def test_the_pump_is_stopped_first() -> None:
    pumped = hookup(
        {"CC": (GLYCOL, "ball valve BV-1; pump P-1; ball valve BV-3; drain 3/4", "vent 1/2; ball valve BV-2")}
    )
    assert said(lock_out(piece_of(pumped)))[0] == "stop the pump P-1", "it stands behind the coil's own shutoff"


def test_other_pieces_drain_too() -> None:
    one, sections, _ = engine(PAIR)
    pieces = other_pieces(one, sections)
    assert [tuple(v.tag for v in piece.shutoffs) for piece in pieces] == [("XV-1", "XV-3"), ("XV-2", "XV-4")]
    assert all(piece.drains and piece.vents for piece in pieces)


# -- pressure ----------------------------------------------------------------------------------------------------------


def test_test_pressure_is_one_and_a_half_times_the_design_pressure() -> None:
    one, sections, lineups = engine(tall())
    piece = coil_piece(one, sections, lineups, "CC")
    assert piece is not None
    assert proof_of(one, piece).psi == 187.5
    steps = pressure_test(one, sections, piece)
    assert "raise slowly to 187.5 psi" in said(steps), "the pressure, not the part that bears least"


def test_never_above_the_weakest_part() -> None:
    text = (
        hookup(
            {
                "CC": (
                    GLYCOL,
                    "butterfly valve BV-1, lug; strainer ST-1, flanged; drain 3/4",
                    "vent 1/2; butterfly valve BV-2, lug",
                )
            },
            size="4",
        )
        .replace("steel-threaded", "steel-welded")
        .replace("design 125 psi", "design 150 psi")
    )
    one, sections, lineups = engine(text)
    piece = coil_piece(one, sections, lineups, "CC")
    assert piece is not None
    proof = proof_of(one, piece)
    assert proof.psi == 225 and proof.rating == 200 and proof.too_high, "class 125 iron is good for 200 psi cold"
    assert [task.do for task in pressure_test(one, sections, piece) if task.bad] == ["stop here"]


def proof(supply: str, back: str, *, spec: str = "steel-threaded", more: str = "") -> Proof:
    text = hookup({"CC": (GLYCOL, supply, back)}, size="1").replace("steel-threaded", spec)
    one, sections, lineups = engine(text + more)
    piece = coil_piece(one, sections, lineups, "CC")
    assert piece is not None
    return proof_of(one, piece)


SHOP = "spec shop, like copper-soldered\n    solder {}\n"


def test_threaded_parts_by_their_standards() -> None:
    """ASME B16.3 class 150: 300 psi cold; MSS SP-80 class 125 bronze gate: 200; a ball valve: its maker says."""
    fittings = proof("ball valve BV-1; drain 3/4", "vent 1/2; ball valve BV-2")
    assert fittings.rating == 300 and fittings.weakest is not None and fittings.weakest.kind.group == "fittings"
    assert {part.kind.name for part in fittings.unrated} == {"ball valve"}
    gate = proof("gate valve GV-1; drain 3/4", "vent 1/2; ball valve BV-2")
    assert gate.rating == 200 and gate.weakest is not None and gate.weakest.tag == "GV-1"


def test_soldered_joints_by_the_solder_that_the_spec_names() -> None:
    """Copper Tube Handbook 14.4a at 100 F: 50-50 bears 200 psi to NPS 1; 95-5 bears more than the copper does."""
    legs = ("ball valve BV-1; drain 3/4", "vent 1/2; ball valve BV-2")
    weak = proof(*legs, spec="shop", more=SHOP.format("50-50"))
    assert (weak.rating, weak.solder_unsaid) == (200, False)
    assert proof(*legs, spec="shop", more=SHOP.format("95-5")).rating == 494, "annealed type L, NPS 1"
    unsaid = proof(*legs, spec="copper-soldered")
    assert unsaid.solder_unsaid and unsaid.rating == 494


@pytest.mark.parametrize(
    ("coil", "do", "stays"),
    [("", "blank off", False), ("rated 150 psi", "blank off", False), ("rated 250 psi", "leave in", True)],
)
def test_a_coil_stays_in_the_test_only_if_its_block_says_so(coil: str, do: str, stays: bool) -> None:
    """The test is at 1.5 x 125 = 187.5 psi."""
    text = tall().replace("        return high", f"        {coil}\n        return high") if coil else tall()
    one, sections, lineups = engine(text)
    piece = coil_piece(one, sections, lineups, "CC")
    assert piece is not None
    assert proof_of(one, piece).coil_stays == stays
    other = "leave in" if do == "blank off" else "blank off"
    steps = said(pressure_test(one, sections, piece))
    assert f"{do} CC" in steps and f"{other} CC" not in steps


def steps_of(text: str) -> list[Task]:
    one, sections, lineups = engine(text)
    piece = coil_piece(one, sections, lineups, "CC")
    assert piece is not None
    return pressure_test(one, sections, piece)


def test_a_jumper_joins_the_two_legs_of_a_blanked_coil() -> None:
    """Else the supply would have no vent and the return nothing to be filled at."""
    steps = said(steps_of(hookup({"CC": (GLYCOL, "ball valve BV-1; drain 3/4", "vent 1/2; ball valve BV-2")})))
    at = steps.index("blank off CC")
    assert steps[at + 1] == "put a jumper past CC"
    assert steps[-2] == "put back CC" and steps[-3].startswith("drain line")


RATED = "        rated 250 psi\n"
TAPS = "        drain tap 1/2\n        vent tap 1/2\n"


def test_a_coil_that_stays_needs_no_jumper_and_opens_by_its_own_taps() -> None:
    bare = hookup({"CC": (GLYCOL, "ball valve BV-1", "ball valve BV-2")}, holds=TAPS + RATED)
    tasks = steps_of(bare)
    dos = [task.do for task in tasks]
    assert "put a jumper past" not in dos and "put back" not in dos
    assert "open vent" in dos and "fill slowly at" in dos and not [task for task in tasks if task.bad]


def test_the_taps_of_a_blanked_coil_neither_vent_nor_drain_the_pipe() -> None:
    bare = hookup({"CC": (GLYCOL, "ball valve BV-1", "ball valve BV-2")}, holds=TAPS)
    tasks = steps_of(bare)
    blanked = [task.do for task in tasks].index("blank off")
    assert "open vent" in [task.do for task in tasks[:blanked]], "they let the pressure out while the coil is in"
    tasks = tasks[blanked:]
    assert "open vent" not in [task.do for task in tasks] and "shut drain" not in [task.do for task in tasks]
    bad = [task.do for task in tasks if task.bad]
    assert "a vent must be put in there" in next(task.look for task in tasks if task.do == "air stays")
    steps = said(tasks)
    assert "shut BV-1" in steps[steps.index("fill slowly at BV-1") :], "the main is off again before the pump is on"
    assert bad == ["cannot vent", "air stays", "fill slowly at", "cannot drain", "stays full"]
    assert "open vent" in [task.do for task in fill(piece_of(bare))], "with the coil in, they do"


@pytest.mark.parametrize(
    ("size", "spec", "valve", "do"),
    [
        ("2-1/2", "steel-welded", "control valve TCV-1, 2", "leave in"),  # between nipples that are welded in
        ("2-1/2", "steel-welded", "control valve TCV-1, flanged", "take out"),
        ("1", "steel-threaded", "control valve TCV-1", "leave in"),
        ("1", "steel-threaded", "control valve TCV-1; union", "take out"),  # it turns out of its other end
        ("1", "copper-soldered", "control valve TCV-1, soldered", "leave in"),
        ("1", "copper-soldered", "control valve TCV-1, soldered; union", "leave in"),  # it does not
        ("1", "copper-soldered", "union; control valve TCV-1, soldered; union", "take out"),
    ],
)
def test_a_control_valve_is_taken_out_only_where_a_joint_opens_beside_it(
    size: str, spec: str, valve: str, do: str
) -> None:
    shutoff = "butterfly valve" if spec == "steel-welded" else "ball valve"
    back = f"vent 1/2; left 2 ft; {valve}; left 2 ft; {shutoff} BV-2"
    text = hookup({"CC": (GLYCOL, f"{shutoff} BV-1; drain 3/4", back)}, size=size)
    tasks = steps_of(text.replace("steel-threaded", spec))
    done = [task.do for task in tasks if "TCV-1" in map(called, task.things) and task.do != "ask the makers of"]
    afterwards = ["put back"] if do == "take out" else []
    assert done == ["drive open", do, *afterwards], "driven while it is in; what is taken out is put back"


def test_a_relief_is_taken_out_and_put_back() -> None:
    steps = said(
        steps_of(
            hookup({"CC": (GLYCOL, "ball valve BV-1; drain 3/4; relief valve RV-1, 1/2", "vent 1/2; ball valve BV-2")})
        )
    )
    assert "take out or blank RV-1" in steps and steps[-2] == "put back CC, RV-1"


OPENS_A_JOINT = ("blank off", "put a jumper past", "take out", "take out or blank")


def test_no_joint_is_opened_before_the_piece_is_shut_in_drained_and_proved() -> None:
    supply = "ball valve BV-1; pump P-1; union; control valve TCV-1; drain 3/4; relief valve RV-1, 1/2"
    tasks = steps_of(hookup({"CC": (GLYCOL, supply, "vent 1/2; gauge PI-1; ball valve BV-2")}))
    dos = [task.do for task in tasks]
    first = min(dos.index(do) for do in OPENS_A_JOINT if do in dos)
    order = ["stop the pump", "shut", "lock and tag", "drive open", "open vent", "open drain", "prove"]
    places = [dos.index(do) for do in order]
    assert places == sorted(places) and places[-1] < first
    assert {"shut", "lock and tag", "stop the pump", "drive open"}.isdisjoint(dos[first:])
    assert dos.index("ask the makers of") < places[0], "before anything is touched, not under pressure"
    assert dos[-2:] == ["put back", "then"] and dos.index("drain") < dos.index("put back")


def test_where_nothing_proves_it_empty_no_joint_is_to_be_opened() -> None:
    text = hookup({"CC": (GLYCOL, "ball valve BV-1", "ball valve BV-2")})
    tasks = steps_of(text)
    *_, unproved, stop = tasks
    assert (unproved.do, stop.do) == ("cannot prove", "stop here") and unproved.bad and stop.bad
    assert "open no joint" in unproved.look and {task.do for task in tasks}.isdisjoint(OPENS_A_JOINT)
    bears = steps_of(text.replace("        return high", "        rated 300 psi\n        return high"))
    assert "its lock off" in next(task.look for task in bears if task.do == "fill slowly at"), "no joint is opened"


def test_what_is_taken_out_is_not_asked_about() -> None:
    """A relief valve of which no table says what it bears is out of the test."""
    tasks = steps_of(
        hookup({"CC": (GLYCOL, "ball valve BV-1; drain 3/4; relief valve RV-1, 1/2", "vent 1/2; ball valve BV-2")})
    )
    (asked,) = [task for task in tasks if task.do == "ask the makers of"]
    assert "RV-1" not in map(called, asked.things) and any(thing.kind.name == "ball valve" for thing in asked.things)


def test_the_piece_with_the_pump_is_tested_too() -> None:
    supply = "ball valve BV-1; vent 1/2; union; pump P-1; union; drain 3/4; ball valve BV-3; drain 3/4"
    text = hookup({"CC": (GLYCOL, supply, "vent 1/2; ball valve BV-2")})
    (table,) = compiled(text).tables(["pressure-test"])
    rows = [row.cells for row in table.rows if row.cells["work"] == "test the piece between BV-1 and BV-3"]
    dos = [row["do"] for row in rows]
    assert "raise slowly to 187.5 psi" in dos and dos.index("prove") < dos.index("take out")
    assert ("P-1",) in [row["what"] for row in rows if row["do"] == "take out"]
    assert "coil" not in str(next(row["look"] for row in rows if row["do"] == "drain"))
    assert any(note.startswith("Not tested by this sheet") for note in table.notes)


def test_without_a_design_pressure_there_is_no_test_pressure() -> None:
    one, sections, lineups = engine(tall().replace("    design 125 psi, 24 degF to 100 degF\n", ""))
    piece = coil_piece(one, sections, lineups, "CC")
    assert piece is not None
    assert [task.do for task in pressure_test(one, sections, piece)][-1] == "cannot tell"


# -- what stays --------------------------------------------------------------------------------------------------------


def trapped(text: str) -> list[float | Unknown]:
    one, sections, lineups = engine(text)
    piece = coil_piece(one, sections, lineups, "CC")
    assert piece is not None
    return [trapped_gallons(one, piece.section, pools) for pools in piece.trapped_pools]


def pocket(down: str, along: str, up: str, *, size: str = "2") -> str:
    """A pocket in the supply between two level runs; the coil's foot is higher and drained."""
    supply = (
        f"ball valve BV-1; left 1 ft; drain 3/4; left 1 ft; down {down}; left {along}; up {up}; left 1 ft; drain 3/4"
    )
    return hookup({"CC": (GLYCOL, supply, "vent 1/2; ball valve BV-2")}, size=size)


def gallons(feet: float, inside: float) -> float:
    return feet * 12 * math.pi / 4 * inside**2 / 231


def test_a_pocket_holds_its_two_risers_and_its_floor() -> None:
    """NPS 2 schedule 40 is 2.067 in inside (ASME B36.10M). 2 ft down, 3 ft along, 2 ft up: 7 ft of pipe."""
    assert trapped(pocket("2 ft", "3 ft", "2 ft")) == [pytest.approx(gallons(7, 2.067), rel=1e-3)]


def test_it_runs_over_at_the_lower_side() -> None:
    """2 ft down, 3 ft along, 1 ft up: 1 ft of the first riser, the floor and the second riser are full."""
    assert trapped(pocket("2 ft", "3 ft", "1 ft")) == [pytest.approx(gallons(5, 2.067), rel=1e-3)]


@pytest.mark.parametrize(("down", "along", "up"), [("", "3 ft", "2 ft"), ("2 ft", "", "2 ft"), ("2 ft", "3 ft", "")])
def test_what_is_not_measured_is_not_guessed(down: str, along: str, up: str) -> None:
    assert trapped(pocket(down, along, up)) == [NOT_MEASURED]


def test_a_piece_without_any_drain_is_not_given_a_volume() -> None:
    text = hookup({"CC": (GLYCOL, "ball valve BV-1; left 2 ft", "vent 1/2; ball valve BV-2")})
    assert trapped(text) == [NOT_MEASURED]


# -- the lists ---------------------------------------------------------------------------------------------------------

NAMES = (
    "lineups", "positions", "standing", "separation", "changeover", "drain-and-fill", "pressure-test", "lockout",
)  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_every_row_of_every_list_knows_its_lines(name: str) -> None:
    (table,) = compiled(PAIR).tables([name])
    keys = {column.key for column in table.columns}
    assert table.rows and table.notes
    for row in table.rows:
        assert row.origin and set(row.cells) <= keys


def test_the_sheets_say_what_they_are_not() -> None:
    for table in compiled(PAIR).tables(["changeover", "drain-and-fill", "pressure-test", "lockout"]):
        assert any("engineer of record" in note for note in table.notes), table.name


def test_trapped_liquid_is_printed_with_its_volume_or_as_not_measured() -> None:
    for text, words in ((pocket("2 ft", "3 ft", "2 ft"), "gal,"), (pocket("", "3 ft", "2 ft"), "not measured")):
        (table,) = compiled(text).tables(["drain-and-fill"])
        (row,) = [row for row in table.rows if row.cells["do"] == "trapped!"]
        assert words in str(row.cells["look"])


def test_two_hands_of_a_typical_share_their_rows_and_one_unit_has_its_number() -> None:
    text = PAIR.replace("typical pair\n", "typical pair, drawn with airflow left to right\n")
    text = text.replace("unit U-1 is pair, number 1\n", "unit U-1 is pair, number 1, airflow left to right\n")
    text = text.replace("XV-", "XV-*")
    (one,) = compiled(text).tables(["positions"])
    assert "XV-11" in {row.cells["valve"] for row in one.rows}
    (two,) = compiled(text + "unit U-2 is pair, number 2, airflow right to left\n").tables(["positions"])
    assert len(two.rows) == len(one.rows)
    assert {row.cells["units"] for row in two.rows} == {"U-1, U-2"}
    assert "XV-*1" in {row.cells["valve"] for row in two.rows}


def test_standing_names_runs_by_the_tags_at_their_ends() -> None:
    (table,) = compiled(PAIR).tables(["standing"])
    runs = {
        (r.cells["lineup"], r.cells["line"], r.cells["part"]): (r.cells["carries"], r.cells["flow"]) for r in table.rows
    }
    assert runs["separate", "supply to PRE", "WWS - PRE"] == ("well-water", "as drawn")
    assert runs["separate", "crossover from T-1 to T-3", "T-1 - XV-1"] == (GLYCOL, "dead leg")
    assert runs["separate", "crossover from T-1 to T-3", "XV-1 - XV-3"] == ("shut in", "dead leg")
    assert runs["glycol on both", "supply to PRE", "T-3 - PRE"] == (GLYCOL, "as drawn")
