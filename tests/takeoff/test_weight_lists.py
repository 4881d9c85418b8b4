"""The lists of weights, hangers and loads on coil connections, by hand and against one another."""

from pathlib import Path

import pytest
from coilwright import Compilation, compile_file, compile_text
from coilwright.analysis.hanging import gaps
from coilwright.analysis.sections import Sections
from coilwright.analysis.ways import sides, ways
from coilwright.analysis.weighing import Scales, is_weighed
from coilwright.model.hookup import Hookup
from coilwright.model.table import NOT_MEASURED, Row, Unknown
from coilwright.rules.registry import Verdict
from coilwright.rules.spans import hanger_span_exceeded, lump_unsupported

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.hookup"))

FILE = """service chw
    water
    design 125 psi, 44 degF to 60 degF
    spec steel-welded
    insulate 2 in
    insulation 4 lb per ft3
typical ah, drawn with airflow left to right
    coil CC on chw
        supply low at leaving side, 4 flanged
        return high at entering side, 4 flanged
    supply to CC, 4
        from main CHS
        left 5 ft
        hanger
        left 10 ft
        hanger
        left 10 ft
        hanger
        left 5 ft
{more}    return from CC, 4
        right 12 ft
        to main CHR
unit AH-1 is ah, number 1, airflow left to right
unit AH-2 is ah, number 2, airflow left to right
unit AH-3 is ah, number 3, airflow right to left
"""
#: A foot of 4 in STD pipe, water in it, and 2 in of insulation at 4 lb per cubic foot: 10.79 + 5.52 + 1.13.
FOOT = 17.45


def compiled(more: str = "") -> Compilation:
    made = compile_text(FILE.format(more=more))
    assert [f for f in made.findings if f.severity == "error"] == []
    return made


def rows(name: str, more: str = "") -> list[Row]:
    (table,) = compiled(more).tables([name])
    assert table.rows
    assert all(row.origin for row in table.rows)
    return list(table.rows)


def pounds(value: object) -> float:
    assert isinstance(value, float)
    return value


def test_hangers_in_the_middle_carry_a_whole_span() -> None:
    found = [row.cells for row in rows("hangers") if str(row.cells["hanger"]).startswith("H")]
    assert [cells["hanger"] for cells in found] == ["H1", "H2", "H3"]
    assert pounds(found[1]["load"]) == pytest.approx(10 * FOOT, rel=0.02)
    assert pounds(found[0]["load"]) == pytest.approx(7.5 * FOOT, rel=0.02)
    assert {cells["clevis"] for cells in found} == {"8, with shield"}
    assert [float(cells["at"]) for cells in found] == [60, 180, 300]  # type: ignore[arg-type]


def test_hangers_are_counted_for_all_units() -> None:
    buy = [row.cells for row in rows("hangers") if row.cells["hanger"] == "to buy"]
    assert [(cells["size"], cells["total"]) for cells in buy] == [("4", 9)]


def test_a_hanger_between_moves_without_lengths_has_no_place() -> None:
    more = "        up\n        left\n        hanger\n        left 2 ft\n"
    last = [row.cells for row in rows("hangers", more) if str(row.cells["hanger"]).startswith("H")][-1]
    assert last["at"] is NOT_MEASURED
    assert any("not measured" in str(name) for name in last["not_in_load"])  # type: ignore[union-attr]


def test_lines_add_up_to_the_unit_and_units_to_the_job() -> None:
    found = [row.cells for row in rows("weights")]
    lines = [c for c in found if c["line"] not in ("the whole unit", "all units")]
    (unit,) = [c for c in found if c["line"] == "the whole unit"]
    (job,) = [c for c in found if c["line"] == "all units"]
    for column in ("dry", "fluid", "insulation", "full"):
        total = sum(float(c[column]) for c in lines)  # type: ignore[arg-type]
        assert total == pytest.approx(float(unit[column]), abs=0.2)  # type: ignore[arg-type]
        assert 3 * float(unit[column]) == pytest.approx(float(job[column]), abs=0.2)  # type: ignore[arg-type]
    assert float(unit["full"]) == pytest.approx(42 * FOOT + 2 * 11.5 + 2 * 11.7, rel=0.03)  # type: ignore[arg-type]


def test_what_nobody_weighs_is_named_and_the_sum_reads_at_least() -> None:
    unit = next(
        r.cells
        for r in rows("weights", "        control valve TCV-*1, flanged\n")
        if r.cells["line"] == "the whole unit"
    )
    assert unit["reads"] == "at least this"
    assert any("control valve 4" in name for name in unit["which"])  # type: ignore[union-attr]
    assert int(unit["missing"]) > 0  # type: ignore[call-overload]
    said = next(
        r.cells
        for r in rows("weights", "        control valve TCV-*1, flanged, weighs 150 lb\n")
        if r.cells["line"] == "the whole unit"
    )
    assert float(said["dry"]) == pytest.approx(float(unit["dry"]) + 150, abs=0.1)  # type: ignore[arg-type]
    assert not any(name == "1 control valve 4 (not in the tables)" for name in said["which"])  # type: ignore[union-attr]


def test_a_line_with_nothing_in_it_says_where_it_stands() -> None:
    made = compile_text(FILE.format(more="").replace("        right 12 ft\n        to main CHR\n", ""))
    line = next(row for row in made.tables(["weights"])[0].rows if row.cells["line"] == "return from CC")
    lines = [made.sources[span.file].splitlines()[span.line - 1].strip() for span in line.origin]
    assert lines == ["return from CC, 4"]


def test_a_nozzle_carries_half_to_its_hanger_and_all_without_it() -> None:
    supply = next(r.cells for r in rows("nozzle-loads") if r.cells["connection"] == "supply")
    assert pounds(supply["held"]) == pytest.approx(2.5 * FOOT + 8, rel=0.1)
    assert pounds(supply["bare"]) == pytest.approx(30 * FOOT + 12, rel=0.03)
    assert supply["up_to"] == "CHS"
    back = next(r.cells for r in rows("nozzle-loads") if r.cells["connection"] == "return")
    assert back["held"] == "no hanger in the file"


def test_without_its_hanger_a_nozzle_carries_up_to_the_next_flange() -> None:
    more = "        butterfly valve BV-*1, lug\n        left 4 ft\n"
    supply = next(r.cells for r in rows("nozzle-loads", more) if r.cells["connection"] == "supply")
    assert supply["up_to"] == "BV-*1"
    assert pounds(supply["bare"]) == pytest.approx(4 * FOOT + 2 * 11.6, rel=0.05)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_every_component_is_on_one_way_and_hangs_in_one_gap(path: Path) -> None:
    made = compile_file(path)
    for hookup in made.hookups:
        found = ways(hookup, Sections(hookup))
        on = [c.id for way in found for c in way.components]
        assert len(on) == len(set(on))
        off = {c.id for c in hookup.components()} - set(on)
        ends = {end[0].id for way in found for end in (way.head, way.tail) if end is not None}
        assert off <= ends
        _weighs_the_same(hookup)


def _weighs_the_same(hookup: Hookup) -> None:
    scales, found = Scales(hookup), ways(hookup, Sections(hookup))
    beside = sides(found)
    for way in found:
        if way.is_side:
            continue
        inside = [*way.components, *(c for one in way.components for c in beside.get(one.id, ()))]
        apart = sum(gap.weight(scales).known for gap in gaps(hookup, way, beside))
        assert apart == pytest.approx(scales.full(c for c in inside if is_weighed(c)).known, rel=1e-6)


OUTLET = """service chw
    water
    spec steel-welded
weights of threaded outlet
    4, 1 lb
{lengths}unit AH-1, airflow left to right
    coil CC on chw
        supply low, 4 flanged
        return high, 4 flanged
    supply to CC, 4
        from main CHS
        left{first}
        butterfly valve BV-1, lug
        drain 3/4
        strainer ST-1
        left 5 ft
    return from CC, 4
        right
        to main CHR
"""


def outlet(first: str, lengths: str = "") -> float | Unknown:
    """What the outlet for the drain weighs, with the pipe between two flanges that it sits on."""
    hookup = compile_text(OUTLET.format(first=first, lengths=lengths)).hookups[0]
    (found,) = [c for c in hookup.components() if c.kind.name == "threaded outlet"]
    return Scales(hookup).weigh(found).dry


def test_an_outlet_weighs_with_the_pipe_that_is_there_for_it_alone() -> None:
    assert outlet(" 5 ft", "lengths of wye strainer, flanged\n    4, 14 in\n") == pytest.approx(1 + 10.79 / 3, rel=0.01)


def test_pipe_under_an_outlet_that_nobody_measured_is_not_left_out() -> None:
    text = OUTLET.format(first="", lengths="").replace("left 5 ft", "left")
    hookup = compile_text(text).hookups[0]
    (found,) = [c for c in hookup.components() if c.kind.name == "threaded outlet"]
    assert Scales(hookup).weigh(found).dry is NOT_MEASURED


# -- the two rules at their edges -----------------------------------------------------------------------------------


def spans_of(lengths: tuple[str, ...], elbow: str = "") -> list[str]:
    moves = "".join(f"        {move}\n" for move in lengths)
    text = FILE.format(more="").replace("        left 10 ft\n        hanger\n        left 10 ft\n", moves)
    (hookup, *_) = compile_text(text).hookups
    found = list(hanger_span_exceeded(hookup, Sections(hookup)))
    return [f"{one.answer}: {one.said}" if isinstance(one, Verdict) else one.message for one in found]


@pytest.mark.parametrize(
    ("moves", "said"),
    [
        (("left 14 ft",), "yes: 14 ft of 14 ft"),
        (("left 14 ft 1 in",), "these hangers stand 14 ft 1 in apart; 4 pipe wants one every 14 ft"),
        (
            ("left 8 ft", "toward 7 ft", "left 1 in"),
            "these hangers stand 15 ft 1 in apart; 4 pipe wants one every 14 ft",
        ),
        (("left 8 ft", "toward"), "cannot tell: give the lengths between the hangers"),
        (("left 15 ft", "toward"), "these hangers stand at least 15 ft apart; 4 pipe wants one every 14 ft"),
    ],
)
def test_spans(moves: tuple[str, ...], said: str) -> None:
    assert spans_of(moves) == [said]


def test_a_riser_is_no_span() -> None:
    assert spans_of(("left 8 ft", "up 9 ft", "left 8 ft")) == ["yes: 8 ft of 14 ft"]
    assert spans_of(("left 8 ft", "up 9 ft", "left 15 ft")) == [
        "15 ft of level pipe without a hanger begin here; 4 pipe wants one every 14 ft"
    ]


def test_a_long_way_to_a_main_wants_hangers_and_a_short_one_none() -> None:
    too_far = "16 ft of level pipe without a hanger begin here; 4 pipe wants one every 14 ft"
    for feet, message in ((16, too_far), (14, "")):
        text = FILE.format(more="").replace("CHS\n        left 5 ft", f"CHS\n        left {feet} ft")
        (hookup, *_) = compile_text(text).hookups
        found = [one.message for one in hanger_span_exceeded(hookup, Sections(hookup)) if not isinstance(one, Verdict)]
        assert found == [message] * bool(message)


def test_a_file_without_hangers_is_not_judged() -> None:
    text = FILE.format(more="").replace("        hanger\n", "")
    (hookup, *_) = compile_text(text).hookups
    assert list(hanger_span_exceeded(hookup, Sections(hookup))) == []


@pytest.mark.parametrize(
    ("before", "behind", "pounds", "where"),
    [
        ("2 ft", "2 ft", 60, ""),
        ("2 ft 1 in", "2 ft", 60, "its upstream side"),
        ("2 ft", "3 ft", 60, "its downstream side"),
        ("3 ft", "3 ft", 60, "either side"),
        ("3 ft", "3 ft", 20, ""),
    ],
)
def test_lumps(before: str, behind: str, pounds: int, where: str) -> None:
    more = f"        hanger\n        left {before}\n        butterfly valve BV-*1, lug, weighs {pounds} lb\n"
    more += f"        left {behind}\n        hanger\n        left 5 ft\n"
    (hookup, *_) = compile_text(FILE.format(more=more)).hookups
    found = list(lump_unsupported(hookup, Sections(hookup)))
    assert all(isinstance(one, Verdict) for one in found) is not bool(where)
    if where:
        (finding,) = found
        assert not isinstance(finding, Verdict)
        assert finding.message.endswith(f"and has no hanger within 2 ft on {where}")
