"""The weld lists: what is counted, by hand and against the joints, and what the spec's lines do."""

from collections import Counter
from pathlib import Path

import pytest
from coilwright import Compilation, compile_file, compile_text
from coilwright.model.table import NOT_IN_TABLES, Table, Unknown
from coilwright.report import tables_md, tables_text
from coilwright.takeoff.welding import KINDS, Weld, welds_of

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.hookup"))

SPEC = """
spec annex
    1/4 to 2     threaded, carbon steel schedule 80, malleable iron class 150
    2-1/2 to 12  welded, carbon steel schedule 40, flanges class 150 raised face {flange}
{lines}
"""
ONE = """
service chilled
    water
    spec annex

typical one, drawn with airflow left to right
    coil CC on chilled
        supply low, 4 flanged
        return high, 4 flanged
        headers steel
    supply to CC, 4
        from main CHS
{steps}
    return from CC, 4
        to main CHR
unit AH-1 is one, number 1, airflow left to right
unit AH-2 is one, number 2, airflow right to left
"""


def made(steps: str, lines: str = "", flange: str = "slip-on") -> Compilation:
    body = "\n".join("        " + line for line in steps.strip().splitlines())
    spec = SPEC.format(flange=flange, lines="\n".join("    " + line for line in lines.splitlines()))
    compilation = compile_text(spec + ONE.format(steps=body), name="test.hookup")
    assert [str(f.message) for f in compilation.findings if f.severity == "error"] == []
    return compilation


def on_line(compilation: Compilation, line: str = "supply to CC") -> list[Weld]:
    return [weld for weld in welds_of(compilation.hookups[0]) if weld.line == line]


def table(compilation: Compilation, name: str) -> Table:
    (found,) = compilation.tables([name])
    return found


def number(value: object) -> float:
    assert isinstance(value, int | float), value
    return value


def amount(value: float | Unknown) -> float:
    assert not isinstance(value, Unknown)
    return value


def test_welds_of_a_line_counted_by_hand() -> None:
    """Main, pipe, elbow, pipe, slip-on flange at the coil: an elbow has two butt welds."""
    found = on_line(made("down 2 ft\nleft 3 ft"))
    assert [(weld.number, weld.kind, weld.size.label) for weld in found] == [
        (1, "butt", "4"),  # main to pipe
        (2, "butt", "4"),  # pipe to elbow
        (3, "butt", "4"),  # elbow to pipe
        (4, "slip-on pair", "4"),  # the flange at the coil
    ]
    assert [weld.field for weld in found] == [True, False, False, False]


def test_a_weld_neck_flange_has_one_butt_weld() -> None:
    found = on_line(made("down 2 ft", flange="weld neck"))
    assert [(weld.kind, weld.prep) for weld in found] == [
        ("butt", "bevel 37-1/2 deg, root face 1/16 in, gap 1/8 in")
    ] * 2


def test_an_outlet_is_a_branch_weld_and_its_metal_is_not_guessed() -> None:
    found = on_line(made("down 2 ft\ndrain 3/4\ndown 1 ft"))
    (branch,) = [weld for weld in found if weld.kind == "branch"]
    assert (branch.size.label, str(branch.branch_size)) == ("4", "3/4")
    assert branch.metal is NOT_IN_TABLES and branch.bought is NOT_IN_TABLES
    totals = table(made("down 2 ft\ndrain 3/4\ndown 1 ft"), "weld-totals")
    row = next(row for row in totals.rows if row.cells["kind"] == "branch")
    assert row.cells["metal"] is NOT_IN_TABLES
    assert (row.cells["inch_diameters"], row.cells["other_inch_diameters"], row.cells["joints"]) == (None, 1.5, 2)


def test_metal_of_a_four_inch_joint() -> None:
    """Practice section 25: NPS 4 schedule 40 with a gap of 1/8 takes 0.27 lb of metal and 0.44 lb of stick."""
    weld = on_line(made("down 2 ft"))[0]
    assert amount(weld.metal) == pytest.approx(0.27, abs=0.001)
    assert amount(weld.bought) == pytest.approx(0.435, abs=0.001)


def test_bevel_gap_and_face_of_the_spec() -> None:
    """Pipe is cut as the spec says; a fitting comes as B16.25 has it."""
    lines = "bevel 30 deg, root face 3/32 in, reinforcement 1/8 in\nweld gap 3/32 in"
    plain, own = on_line(made("down 2 ft\nleft 1 ft")), on_line(made("down 2 ft\nleft 1 ft", lines))
    assert own[1].prep == "bevel 30 and 37-1/2 deg, root face 3/32 in, gap 3/32 in"
    assert own[1].metal != plain[1].metal
    assert own[3].metal == plain[3].metal  # fillets know nothing of bevels


def test_thin_pipe_is_cut_square() -> None:
    text = SPEC.replace("schedule 40", "schedule 10").format(flange="slip-on", lines="")
    compilation = compile_text(text + ONE.format(steps="        down 2 ft"), name="test.hookup")
    assert on_line(compilation)[0].prep == "cut square, gap 1/8 in"


def test_a_field_fit_piece_has_its_far_end_welded_in_the_field() -> None:
    found = on_line(made("down 2 ft\nleft 3 ft, field fit\nup 1 ft"))
    assert [weld.field for weld in found] == [True, False, False, True, False, False]
    assert found[3].between[0].pipe is not None and found[3].between[1].kind.name == "elbow"


def test_a_field_fit_piece_with_an_outlet_is_welded_at_the_end_of_the_whole_piece() -> None:
    found = on_line(made("down 2 ft\nleft 3 ft, field fit\ntest port 1/2\nleft 1 ft\nup 1 ft"))
    (weld,) = [weld for weld in found if weld.field and weld.number > 1]
    assert weld.between[1].kind.name == "elbow" and weld.number == 5


def test_passes_add_up_and_are_bought_apart() -> None:
    lines = "weld passes root E6010 1/8 in, hot E7018 3/32 in, cap ER70S-6 0.035 in, fillet E7018 1/8 in"
    plain, own = made("down 2 ft"), made("down 2 ft", lines)
    for one, other in zip(on_line(plain), on_line(own), strict=True):
        assert amount(one.metal) == pytest.approx(amount(other.metal))
    butt, pair = on_line(own)
    assert [deposit.name for deposit in butt.deposits] == ["root", "hot", "cap"]
    assert [str(deposit.filler) for deposit in pair.deposits] == ["stick E7018"]
    assert amount(butt.bought) < amount(on_line(plain)[0].bought)  # wire wastes less than stick
    rows = {row.cells["pass"]: row.cells for row in table(own, "filler").rows}
    assert list(rows) == ["root", "hot", "cap", "fillet"]
    assert (rows["cap"]["process"], rows["cap"]["name"]) == ("solid wire", "ER70S-6")
    totals = table(own, "weld-totals").rows
    for column, other_column in (("metal", "metal"), ("buy", "filler")):
        listed = sum(number(cells[column]) for cells in rows.values())
        assert listed == pytest.approx(sum(number(row.cells[other_column]) for row in totals), abs=0.01)


def test_a_wire_root_of_unsaid_thickness_is_not_divided() -> None:
    """The whole weld weighs what it weighs; how much of it is root is not known, so neither is what to buy."""
    weld = on_line(made("down 2 ft", "weld passes root ER70S-6 0.035 in, fill E7018 1/8 in"))[0]
    assert [deposit.metal for deposit in weld.deposits] == [NOT_IN_TABLES, NOT_IN_TABLES]
    assert "how thick each pass is laid is not said" in weld.why


def test_tig_is_weighed_but_what_to_buy_is_not_in_the_tables() -> None:
    weld = on_line(made("down 2 ft", "weld with tig ER70S-2 3/32 in"))[0]
    assert amount(weld.metal) > 0 and weld.bought is NOT_IN_TABLES


def test_both_hands_share_their_numbers() -> None:
    listed = table(made("down 2 ft\nleft 3 ft"), "welds")
    assert [row.cells["weld"] for row in listed.rows] == [f"W{n}" for n in range(1, len(listed.rows) + 1)]
    assert {(row.cells["units"], row.cells["count"]) for row in listed.rows} == {("AH-1, AH-2", 2)}


def test_the_log_has_room_for_welder_heat_and_date() -> None:
    listed = table(made("down 2 ft"), "welds")
    assert {c.key for c in listed.columns if c.by_hand} == {"welder", "heat", "date"}
    assert all(row.cells.get(key) is None for row in listed.rows for key in ("welder", "heat", "date"))
    printed = tables_text.render([listed], 60)
    assert printed.count("Welder: ____") == printed.count("Date: ____") == len(listed.rows) > 0
    assert "| Welder | Heat number | Date |" in tables_md.render([listed])


def test_every_weld_of_pipe_lies_in_a_spool() -> None:
    """A shop weld lies in one spool; a field weld between two of them names both."""
    for row in table(made("down 2 ft\nleft 3 ft, field fit\nup 1 ft"), "welds").rows:
        spools = str(row.cells["spool"]).split(" / ")
        assert all(spools), row.cells
        assert len(spools) == (2 if row.cells["weld"] == "W4" else 1), row.cells


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_totals_are_the_sum_of_the_list(path: Path) -> None:
    """Every welded joint is listed once, and a branch for each outlet; the totals count them for all units."""
    compilation = compile_file(path)
    joints: Counter[str] = Counter()
    inches = metal = 0.0
    for hookup in compilation.hookups:
        times = len(hookup.units)
        for _, _, joint in hookup.joints():
            if joint.kind in KINDS:
                joints[KINDS[joint.kind]] += times
            if joint.kind == "butt weld":
                inches += times * float(joint.end_a.size.inches)
        outlets = [c for c in hookup.components() if c.kind.name in ("welded outlet", "threaded outlet")]
        joints["branch"] += times * len(outlets)
        found = welds_of(hookup)
        assert [weld.number for weld in found] == list(range(1, len(found) + 1))
        orders = [weld.joint.order for weld in found if weld.joint is not None]
        assert orders == sorted(orders)
        metal += times * sum(w.metal for w in found if not isinstance(w.metal, Unknown))
    totals = table(compilation, "weld-totals").rows
    counted: Counter[str] = Counter()
    for row in totals:
        counted[str(row.cells["kind"])] += int(number(row.cells["joints"]))
    assert +counted == +joints
    assert sum(number(row.cells["inch_diameters"] or 0) for row in totals) == pytest.approx(inches)
    listed = [row.cells["metal"] for row in totals if not isinstance(row.cells["metal"], Unknown)]
    assert sum(map(number, listed)) == pytest.approx(metal, abs=0.0006 * max(len(listed), 1))
    for name in ("welds", "weld-totals", "filler", "made-up-joints"):
        assert all(row.origin for row in table(compilation, name).rows)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_made_up_joints_are_all_there(path: Path) -> None:
    compilation = compile_file(path)
    joints: Counter[str] = Counter()
    for hookup in compilation.hookups:
        kinds = Counter(joint.kind for _, _, joint in hookup.joints())
        for kind in ("threaded", "soldered", "grooved"):
            joints[kind] += kinds[kind] * len(hookup.units)
    counted: Counter[str] = Counter()
    for row in table(compilation, "made-up-joints").rows:
        counted[str(row.cells["kind"])] += int(number(row.cells["total"]))
    assert +counted == +joints


def test_sealant_and_solder_are_as_the_spec_says() -> None:
    rows = table(made("down 2 ft\ndrain 3/4", "thread sealant PTFE tape"), "made-up-joints").rows
    assert {row.cells["with"] for row in rows} == {"PTFE tape"}
    rows = table(made("down 2 ft\ndrain 3/4"), "made-up-joints").rows
    assert {row.cells["with"] for row in rows} == {"not said"}
    text = "spec tubes, like copper-soldered\n    solder 95-5\n" + ONE.replace("spec annex", "spec tubes")
    rows = table(compile_text(text.format(steps="        down 2 ft"), name="t.hookup"), "made-up-joints").rows
    assert ("soldered", "95-5") in {(row.cells["kind"], row.cells["with"]) for row in rows}
