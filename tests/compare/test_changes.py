"""What differs between two files: a pair for each kind of change, with all that is said of it."""

from __future__ import annotations

import pytest
from coilwright import compile_text
from coilwright.api import Compilation
from coilwright.compare.units import differences
from coilwright.model.table import Table
from coilwright.report.units import in_metric

JOB = """\
service chilled-water
    water
    design 125 psi, 40 degF to 100 degF
    spec steel-threaded

typical small, drawn with airflow left to right
    coil CC-* on chilled-water
        supply low at leaving side, 1 male thread
        return high at entering side, 1 male thread
        holds 2 gal
    supply to CC-*, 1
        from main CWS
        down 2 ft
        ball valve BV-*1
        left 1 ft
        strainer ST-*1
        thermometer 1/2
        drain 3/4
    return from CC-*, 1
        vent 1/2
        control valve TCV-*1, 3/4
        balancing valve FB-*1
        ball valve BV-*2
        up 3 ft
        to main CWR

unit AH-1 is small, number 1, airflow left to right
unit AH-2 is small, number 2, airflow right to left
"""
SUPPLY, RETURN = "supply to CC-*", "return from CC-*"
BALANCING, THERMOMETER = "        balancing valve FB-*1\n", "        thermometer 1/2\n"
WHEN = ("before", "after")
PLACE = "after BV-*1, left, before ST-*1"


def compiled(text: str) -> Compilation:
    made = compile_text(text, name="job.hookup")
    assert not made.broken, [f"{f.span}: {f.message}" for f in made.findings if f.severity == "error"]
    return made


def changed(*replacements: tuple[str, str], text: str = JOB) -> str:
    for old, new in replacements:
        assert old in text
        text = text.replace(old, new, 1)
    return text


def compared(old: str, new: str) -> Table:
    return differences(compiled(old).hookups, compiled(new).hookups)


def told(table: Table) -> list[tuple[object, ...]]:
    """Sort, line, thing, fact, before, after of every row."""
    keys = ("change", "line", "thing", "about")
    return [
        (*(row.cells[key] for key in keys), *(row.cells.get(f"size_{when}", row.cells.get(when)) for when in WHEN))
        for row in table.rows
    ]


CASES = {
    "a drain is added": (
        [("        balancing valve", "        drain 3/4\n        balancing valve")],
        [("added", RETURN, "drain", "", "", "reducing tee 1 x 3/4, ball valve 3/4, hose end 3/4")],
    ),
    "a thermometer is removed": (
        [("        thermometer 1/2\n", "")],
        [("removed", SUPPLY, "thermometer", "", "reducing tee 1 x 1/2, thermometer 1/2", "")],
    ),
    "a valve is resized": (
        [("TCV-*1, 3/4", "TCV-*1, 1/2")],
        [("resized", RETURN, "TCV-*1", "size", "3/4", "1/2")],
    ),
    "a drain is resized": (
        [("drain 3/4", "drain 1/2")],
        [
            ("resized", SUPPLY, "drain", "size of the side", "3/4", "1/2"),
            ("resized", SUPPLY, "ball valve", "size", "3/4", "1/2"),
            ("resized", SUPPLY, "hose end", "size", "3/4", "1/2"),
        ],
    ),
    "a valve is moved among others": (
        [(BALANCING, ""), ("        vent 1/2\n", BALANCING + "        vent 1/2\n")],
        [("moved", RETURN, "FB-*1", "", "after TCV-*1, before BV-*2", "first, before vent")],
    ),
    "a valve is moved past a turn": (
        [("        ball valve BV-*1\n        left 1 ft\n", "        left 1 ft\n        ball valve BV-*1\n")],
        [("moved", SUPPLY, "BV-*1", "", "after down, before ST-*1", "after down, left, before ST-*1")],
    ),
    "an untagged thing is moved": (
        [(THERMOMETER, ""), ("        ball valve BV-*1\n", THERMOMETER + "        ball valve BV-*1\n")],
        [("moved", SUPPLY, "thermometer", "", "after ST-*1, before drain", "after down, before BV-*1")],
    ),
    "a valve is moved to another line": (
        [(BALANCING, ""), ("        strainer", BALANCING + "        strainer")],
        [("moved", SUPPLY, "FB-*1", "", f"{RETURN}: after TCV-*1, before BV-*2", f"{SUPPLY}: {PLACE}")],
    ),
    "a strainer is retagged": (
        [("ST-*1", "STR-*1")],
        [("retagged", SUPPLY, "wye strainer", "", "ST-*1", "STR-*1")],
    ),
    "a valve is given a tag and another loses it": (
        [("thermometer 1/2", "thermometer TI-*1, 1/2"), ("strainer ST-*1", "strainer")],
        [
            ("retagged", SUPPLY, "wye strainer", "", "ST-*1", "no tag"),
            ("retagged", SUPPLY, "thermometer", "", "no tag", "TI-*1"),
        ],
    ),
    "a valve is another kind": (
        [("ball valve BV-*2", "gate valve BV-*2")],
        [
            ("changed", RETURN, "BV-*2", "kind", "ball valve", "gate valve"),
            ("changed", RETURN, "BV-*2", "material", "bronze", "bronze class 125"),
            ("changed", RETURN, "BV-*2", "class", "", "125"),
        ],
    ),
    "a valve of another kind, size and tag takes the place": (
        [("ball valve BV-*2", "gate valve GV-*9, 3/4")],
        [
            ("removed", RETURN, "BV-*2", "", "BV-*2: ball valve 1", ""),
            ("added", RETURN, "GV-*9", "", "", "GV-*9: gate valve 3/4"),
        ],
    ),
    "a valve is shut": (
        [("ball valve BV-*2", "ball valve BV-*2, normally closed")],
        [("changed", RETURN, "BV-*2", "position", "", "closed")],
    ),
    "a move is longer": (
        [("down 2 ft", "down 2 ft 6 in")],
        [("changed", SUPPLY, "move", "", "down 2 ft", "down 2 ft 6 in")],
    ),
    "two moves beside a valve trade their lengths": (
        [("down 2 ft", "down 1 ft"), ("left 1 ft", "left 2 ft")],
        [
            ("changed", SUPPLY, "move", "", "down 2 ft", "down 1 ft"),
            ("changed", SUPPLY, "move", "", "left 1 ft", "left 2 ft"),
        ],
    ),
    "a move goes another way": (
        [("left 1 ft", "right 1 ft")],
        [("changed", SUPPLY, "move", "", "left 1 ft", "right 1 ft")],
    ),
    "a move is added": (
        [("up 3 ft", "up 3 ft\n        left 4 in")],
        [("added", RETURN, "move", "", "", "left 4 in")],
    ),
    "a fact of a coil": (
        [("holds 2 gal", "holds 2.5 gal"), ("high at entering", "low at entering")],
        [
            ("changed", "", "CC-*", "volume", "2 gal", "2.5 gal"),
            (
                "changed",
                "",
                "CC-*",
                "return",
                "high, entering side, 1 male thread, carbon steel",
                "low, entering side, 1 male thread, carbon steel",
            ),
        ],
    ),
    "a coil is retagged, and with it its lines": (
        [("CC-*", "COIL-*"), ("CC-*", "COIL-*"), ("CC-*", "COIL-*")],
        [("retagged", "", "coil", "", "CC-*", "COIL-*")],
    ),
    "the service": (
        [("125 psi", "150 psi")],
        [("changed", "", "service chilled-water", "pressure", "125 psi", "150 psi")],
    ),
    "a main": (
        [("main CWS", "main CHS")],
        [("changed", SUPPLY, "line", "from", "main CWS", "main CHS")],
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_one_change(case: str) -> None:
    replacements, expected = CASES[case]
    found = compared(JOB, changed(*replacements))
    assert told(found) == expected
    assert {row.cells["count"] for row in found.rows} == {2}
    assert {row.cells["units"] for row in found.rows} == {("AH-1", "AH-2")}


@pytest.mark.parametrize("case", CASES)
def test_the_other_way_round(case: str) -> None:
    """Added and removed change places, before and after change places, and nothing else does."""
    new = changed(*CASES[case][0])
    swap = {"added": "removed", "removed": "added"}
    there, back = told(compared(JOB, new)), told(compared(new, JOB))

    def key(row: tuple[object, ...]) -> tuple[object, ...]:
        sort, line, thing, about, before, after = row
        if sort in ("moved", "retagged") or "CC" in str(thing) + str(line) or "COIL" in str(thing) + str(line):
            line = thing = ""  # they are called by what they are now
        return (sort, line, thing, about, before, after)

    turned = [(swap.get(str(s), s), line, thing, about, b, a) for s, line, thing, about, a, b in there]
    assert sorted(map(key, turned), key=str) == sorted(map(key, back), key=str)


def test_hung_on_a_new_branch_and_back() -> None:
    """A valve in the line becomes a cap on an outlet that was not there, and the other way round: both have moved."""
    hung = changed(("        ball valve BV-*2\n", "        cap BV-*2\n"))
    there, back = compared(JOB, hung), compared(hung, JOB)
    for table in (there, back):
        assert [row.cells["thing"] for row in table.rows if row.cells["change"] == "moved"] == ["BV-*2"]
    assert len(there.rows) == len(back.rows)


def test_units_come_and_go() -> None:
    new = changed(("unit AH-2 is small, number 2, airflow right to left\n", ""), ("is small", "is small"))
    assert told(compared(JOB, new)) == [("removed", "", "unit", "", "", "")]
    assert told(compared(new, JOB)) == [("added", "", "unit", "", "", "")]
    renamed = changed(("unit AH-2", "unit AH-9"))
    assert told(compared(JOB, renamed)) == [("retagged", "", "unit", "", "AH-2", "AH-9")]


def test_only_the_units_that_differ_are_named() -> None:
    new = JOB + "    resize TCV-*1 to 1/2\n"
    found = compared(JOB, new)
    assert told(found) == [("resized", RETURN, "TCV-*1", "size", "3/4", "1/2")]
    assert found.rows[0].cells["units"] == ("AH-2",)


def test_the_other_hand_is_one_difference() -> None:
    new = changed(("airflow right to left", "airflow left to right"))
    assert told(compared(JOB, new)) == [("changed", "", "unit", "airflow", "right to left", "left to right")]


def test_drawn_for_the_other_hand_is_none() -> None:
    new = changed(("drawn with airflow left to right", "drawn with airflow right to left"), ("left 1 ft", "right 1 ft"))
    assert told(compared(JOB, new)) == []


def test_another_number_is_one_difference() -> None:
    new = changed(("number 2", "number 7"))
    assert told(compared(JOB, new)) == [("changed", "", "unit", "number", "2", "7")]


def blocks(text: str) -> list[str]:
    return [block + "\n" for block in text.strip("\n").split("\n\n")]


def test_text_alone_is_no_difference() -> None:
    service, typical, units = blocks(JOB)
    typical = typical.replace("down 2 ft", "down 24 in   # from the ceiling").replace("left 1 ft", "left 304.8 mm")
    typical = "# all new\n\n" + typical.replace("    supply to", "\n    # the supply\n    supply to")
    found = compared(JOB, f"{units}\n\n{typical}\n{service}")
    assert found.rows == ()
    assert found.notes == ("Nothing differs in what the files say of their units.",)


def test_a_typical_written_out_for_each_unit_is_none() -> None:
    """Another way to say the same: two units in full, and another name for the typical."""
    _, typical, _ = blocks(JOB)
    head, body = typical.split("\n", 1)
    assert head.startswith("typical")
    one = "unit AH-1, number 1, airflow left to right\n" + body.replace("*", "1")
    two = "unit AH-2, number 2, airflow right to left\n" + body.replace("*", "2").replace("left 1 ft", "right 1 ft")
    assert told(compared(JOB, f"{blocks(JOB)[0]}\n{one}\n{two}")) == []
    assert told(compared(JOB, JOB.replace("small", "usual"))) == []


@pytest.mark.parametrize("text", [JOB])
def test_nothing_differs_from_itself(text: str) -> None:
    assert compared(text, text).rows == ()


def test_in_metric() -> None:
    new = changed(("TCV-*1, 3/4", "TCV-*1, 1/2"), ("down 2 ft", "down 2 ft 6 in"), ("holds 2 gal", "holds 3 gal"))
    rows = [row.cells for row in in_metric(compared(JOB, new)).rows]
    assert [(row.get("before"), row.get("after")) for row in rows] == [
        ("7.57 L", "11.4 L"),
        ("down 610 mm", "down 762 mm"),
        (None, None),
    ]
    assert (rows[2]["size_before"], rows[2]["size_after"]) == ("DN 20", "DN 15")
