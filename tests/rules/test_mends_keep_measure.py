"""A mend costs no measurement: what was cut to length before it is after it."""

from coilwright import Compilation, compile_text
from coilwright.model.table import Value
from mends import applied

TEXT = """\
service chilled-water
    water
    design 125 psi, 42 degF to 90 degF
    spec steel-welded
unit AH-1, airflow left to right
    coil CC on chilled-water
        supply low, 4 flanged, at right 0 in, up 0 in, toward 3 in
        return high, 4 flanged, at right 0 in, up 40 in, toward 3 in
    supply to CC, 4, outdoors
        from main CHS, at right 120 in, up 0 in, toward 39 in
        left 24 in
        butterfly valve BV-1
        left 12 in
        vent 1/2
        left 12 in
        butterfly valve BV-2
        left 18 in
        drain 3/4
        left
        away 12 in
        test port
        away
    return from CC, 4, outdoors
        toward 36 in
        vent 1/2
        right 30 in
        butterfly valve BV-3
        right 30 in
        to main CHR, at right 60 in, up 40 in, toward 47-1/8 in
"""
LINE = "`tee, 3/4`, `    relief valve 1/2` below line "


def made(text: str) -> Compilation:
    return compile_text(text, name="case.hookup")


def cuts(one: Compilation) -> list[Value]:
    (table,) = one.tables(["cuts"])
    return [row.cells["length"] for row in table.rows]


def test_a_relief_valve_is_put_where_it_parts_no_length() -> None:
    """Behind the bare `away` the tee would leave open how that is divided."""
    before = made(TEXT)
    (fault,) = [f for f in before.findings if f.rule == "blocked-in-liquid" and f.about[0] == "CC"]
    assert [edit.said() for edit in fault.mend] == [f"add the lines {LINE}21"]
    after = made(applied(TEXT, fault.mend))
    assert cuts(after) == cuts(before)
    assert [f for f in after.findings if f.rule == "blocked-in-liquid" and f.about[0] == "CC"] == []


def test_so_is_that_of_a_piece_without_a_coil() -> None:
    text = TEXT.replace(
        "        left 12 in\n        butterfly valve BV-2",
        "        gauge PI-1\n        left 12 in\n        butterfly valve BV-2",
    )
    before = made(
        text.replace(
            "left 12 in\n        vent", "left 12 in\n        pump P-1, flanged\n        left 12 in\n        vent"
        )
    )
    (fault,) = [f for f in before.findings if f.rule == "blocked-in-liquid" and "piece between" in f.message]
    assert [edit.at.line for edit in fault.mend] == [17]


def test_without_lengths_it_stands_at_the_coil() -> None:
    bare = "\n".join(
        line for line in TEXT.splitlines() if not line.strip().startswith(("left", "away", "toward", "right"))
    )
    for place in (", at right 0 in, up 0 in, toward 3 in", ", at right 0 in, up 40 in, toward 3 in"):
        bare = bare.replace(place, "")
    bare = bare.replace(", at right 120 in, up 0 in, toward 39 in", "").replace(
        ", at right 60 in, up 40 in, toward 47-1/8 in", ""
    )
    (fault,) = [f for f in made(bare + "\n").findings if f.rule == "blocked-in-liquid" and f.about[0] == "CC"]
    assert [edit.where for edit in fault.mend] == ["last under"]
