"""The lists of insulation, heat trace, penetrations and condensate, added up by hand."""

import math

import pytest
from coilwright import Compilation, compile_text
from coilwright.model.table import NOT_IN_TABLES, NOT_MEASURED, Row, Table
from coilwright.report.units import in_metric

FILE = """service well
    water
    design 100 psi, 48 degF to 90 degF
    spec steel-welded
    insulate 1 in
{service}typical ah, drawn with airflow left to right
    coil CC on well
        supply low at leaving side, 3 flanged, at right 20 in
        return high at entering side, 3 flanged, at right 10 in, up 48 in
{coil}    supply to CC, 3{outdoors}
        from main WWS, at right 140 in, down 24 in
        through floor{hole}
        up 2 ft
        left 5 ft
        hanger
        left 5 ft
    return from CC, 3
        up 1 ft
        through roof deck
        up 6 ft
{more}        to main WWR
unit AH-1 is ah, number 1, airflow left to right
unit AH-2 is ah, number 2, airflow left to right
unit AH-3 is ah, number 3, airflow right to left
"""
TRACED = "    heat traced, hold 50 degF\n    insulation of glass fiber\n    coldest surroundings 0 degF\n"
EMPTY = dict.fromkeys(("service", "coil", "outdoors", "hole", "more"), "")


def compiled(**parts: str) -> Compilation:
    made = compile_text(FILE.format(**{**EMPTY, **parts}))
    assert [f for f in made.findings if f.severity == "error"] == []
    return made


def listed(name: str, **parts: str) -> Table:
    (table,) = compiled(**parts).tables([name])
    assert all(row.origin for row in table.rows)
    return table


def rewritten(name: str, insulate: str) -> Table:
    """A list where the service says something else than `insulate 1 in`."""
    (table,) = compile_text(FILE.replace("insulate 1 in", insulate).format(**EMPTY)).tables([name])
    return table


def find(table: Table, **cells: object) -> list[Row]:
    return [row for row in table.rows if all(row.cells.get(key) == value for key, value in cells.items())]


def number(row: Row, key: str) -> float:
    value = row.cells[key]
    assert isinstance(value, int | float), value
    return value


# -- insulation ----------------------------------------------------------------------------------------------------


def test_pipe_is_as_cut_and_its_jacket_a_cylinder() -> None:
    table = listed("insulation")
    (cuts,) = compiled().tables(["cuts"])
    cut = sum(float(row.cells["length"]) * number(row, "count") for row in cuts.rows) / 12  # type: ignore[arg-type]
    (pipe,) = find(table, part="pipe")
    assert number(pipe, "total") == pytest.approx(cut, abs=0.1)
    assert number(pipe, "area") == pytest.approx(math.pi * 5.5 / 12 * number(pipe, "total"), abs=0.02)
    assert number(pipe, "total") == pytest.approx(3 * number(pipe, "each"), abs=0.02)
    assert pipe.cells["retarder"] == "yes"


def test_elbows_and_flanges_are_counted_for_all_units() -> None:
    """One elbow in the supply, 4-1/2 in radius: a quarter of a torus of 5-1/2 in. A pair of flanges at each end."""
    table = listed("insulation")
    (elbow,) = find(table, what="elbow")
    assert elbow.cells["total"] == 3
    assert number(elbow, "area") == pytest.approx(3 * (math.pi / 2 * 4.5) * math.pi * 5.5 / 144, abs=0.01)
    (pair,) = find(table, what="flange pair")
    assert (pair.cells["total"], pair.cells["area"]) == (6, None)


@pytest.mark.parametrize("rise", ["up", "up about 2 ft", "up 2 ft"])
def test_an_elbow_has_its_jacket_whatever_is_known_of_the_pipe_beside_it(rise: str) -> None:
    """Three elbows of 7.07 in along their centreline each, though the cut on one side of them is not known."""
    text = FILE.replace("up 2 ft", rise).replace(", at right 140 in, down 24 in", "")
    (table,) = compile_text(text.format(**EMPTY)).tables(["insulation"])
    (elbow,) = find(table, what="elbow")
    assert elbow.cells["total"] == 3
    assert number(elbow, "area") == pytest.approx(3 * (math.pi / 2 * 4.5) * math.pi * 5.5 / 144, abs=0.01)


def test_no_jacket_is_counted_twice_at_an_elbow() -> None:
    """2 ft are allowed from the main to the centre of the elbow: 4-1/2 in of them (ASME B16.9) are the elbow's."""
    text = FILE.replace("up 2 ft", "up about 2 ft").replace(", at right 140 in, down 24 in", "")
    (table,) = compile_text(text.format(**EMPTY)).tables(["insulation"])
    (pipe,) = find(table, what="pipe, allowed where it is not measured yet")
    assert pipe.cells["total"] == 6
    assert number(pipe, "area") == pytest.approx(3 * math.pi * 5.5 * (24 - 4.5) / 144, abs=0.01)
    assert any("take-outs" in note for note in table.notes)


def test_bodies_are_covers_and_drains_are_taps() -> None:
    more = "        butterfly valve BV-*, lug\n        drain 3/4\n        up 1 ft\n"
    table = listed("insulation", more=more)
    (valve,) = find(table, part="covers", what="butterfly valve")
    (drain,) = find(table, part="taps", what="drain")
    assert (valve.cells["total"], drain.cells["total"], drain.cells["size"]) == (3, 3, "3/4")
    assert [row.cells["total"] for row in find(table, what="flange pair")] == [6]


def test_what_is_not_insulated_is_not_in_it_and_what_is_not_said_is_named() -> None:
    table = rewritten("insulation", "open system")
    assert table.rows == ()
    assert any("insulate" in note and "well" in note for note in table.notes)


def test_outdoors_stands_apart() -> None:
    table = listed("insulation", outdoors=", outdoors")
    assert {row.cells["where"] for row in find(table, part="pipe")} == {"", "outdoors"}


def test_length_that_nobody_measured_is_counted() -> None:
    table = listed("insulation", more="        left\n")
    unknown = [row for row in find(table, part="pipe", unit="pieces") if row.cells["area"] is NOT_MEASURED]
    assert [row.cells["total"] for row in unknown] == [3]
    assert any(note.startswith("Jacket not known") and "3 x" in note for note in table.notes)


# -- heat trace ----------------------------------------------------------------------------------------------------


def test_only_the_lines_outdoors_are_traced() -> None:
    """12 ft of centreline, one turn of a 7-1/2 in flange at the coil, a foot at the hanger."""
    table = listed("heat-trace", service=TRACED, outdoors=", outdoors")
    (pipe,), (flanges,), (support,) = (
        find(table, what="traced pipe"), find(table, what="at pair of flanges"), find(table, what="at support"),
    )  # fmt: skip
    assert pipe.cells["total"] == 36
    assert number(flanges, "total") == pytest.approx(3 * math.pi * 7.5 / 12, abs=0.01)
    assert support.cells["total"] == 3
    (cable,) = find(table, what="cable")
    assert number(cable, "total") == pytest.approx(36 + 3 * math.pi * 7.5 / 12 + 3, abs=0.02)


def test_watts_are_those_of_the_next_cable() -> None:
    """2 pi x 0.25 x 50 / 12 / ln(5.5 / 3.5) = 14.48 Btu/h, 4.24 W/ft, 5.31 with the margin: 8 W/ft."""
    table = listed("heat-trace", service=TRACED)
    (pipe,), (cable,), (watts,) = (find(table, what=w) for w in ("traced pipe", "cable", "heat of the cable"))
    assert number(pipe, "loss") == pytest.approx(5.31, abs=0.01)
    assert cable.cells["rating"] == 8
    assert number(watts, "total") == pytest.approx(8 * number(cable, "total"), abs=0.1)


def test_much_heat_takes_cable_side_by_side() -> None:
    """Held 150 F above the coldest it loses three times as much as 50 F above: 15.9 W/ft, two runs of 8."""
    thin = TRACED.replace("hold 50", "hold 150")
    table = listed("heat-trace", service=thin)
    (pipe,) = find(table, what="traced pipe")
    (cable,) = find(table, what="cable, in 2 runs side by side")
    pipe_and_extra = [row for row in table.rows if row.cells["unit"] == "ft" and row.cells.get("rating") is None]
    one_run = sum(number(row, "total") for row in pipe_and_extra)
    assert number(pipe, "loss") == pytest.approx(3 * 5.306, abs=0.02)
    assert number(cable, "total") == pytest.approx(2 * one_run, abs=0.05)


def test_cable_is_bought_by_its_watts_whatever_the_size() -> None:
    """70 F above the coldest NPS 3 loses 7.43 W/ft and NPS 2 5.49, as 2 pi x 0.25 x 70 / 12 / ln(D2 / D1) says with
    the margin: both take 8 W/ft, of which the three units need one length. The valve of NPS 2 takes 3 ft in each."""
    said = TRACED.replace("hold 50 degF", "hold 70 degF, 3 ft at valves, 2 ft at flanges, 1 ft at supports")
    table = listed("heat-trace", service=said, more="        control valve TCV-*, 2, flanged\n        up 3 ft\n")
    assert [number(row, "total") for row in find(table, what="at control valve", size="2")] == [9]
    by_size = {row.cells["size"]: number(row, "total") for row in find(table, what="cable", rating=8)}
    assert set(by_size) == {"2", "3"} and by_size["2"] >= 9
    (to_buy,) = find(table, what="cable to buy")
    assert (to_buy.cells["rating"], to_buy.cells["unit"]) == (8, "ft")
    assert number(to_buy, "total") == pytest.approx(sum(by_size.values()), abs=0.011)
    other = listed("heat-trace", service=TRACED.replace("hold 50", "hold 60"))
    assert [row.cells["rating"] for row in find(other, what="cable to buy")] == [8]


def test_each_connected_piece_is_fed_and_sealed() -> None:
    """Supply and return are parted by the coil: two pieces a unit."""
    table = listed("heat-trace", service=TRACED)
    assert [row.cells["total"] for row in find(table, what="power connections")] == [6]
    assert [row.cells["total"] for row in find(table, what="end seals")] == [6]
    assert find(table, what="tee splices") == []


def test_file_says_the_extra_itself() -> None:
    said = TRACED.replace("degF\n", "degF, 3 ft at valves, 2 ft at flanges, 6 in at supports\n", 1)
    more = "        balancing valve BV-*, flanged\n        up 3 ft\n"
    table = listed("heat-trace", service=said, more=more)
    (valve,), (support,) = find(table, what="at balancing valve"), find(table, what="at support")
    assert (valve.cells["total"], support.cells["total"]) == (9, 1.5)
    assert [row.cells["total"] for row in find(table, what="at pair of flanges")] == [24]


def test_extra_that_no_table_has_is_counted_and_the_cable_is_at_least() -> None:
    table = listed("heat-trace", service=TRACED, more="        balancing valve BV-*, flanged\n        up 3 ft\n")
    (valve,) = find(table, what="at balancing valve, extra not in the tables")
    assert (valve.cells["total"], valve.cells["unit"]) == (3, "pieces")
    assert len(find(table, what="cable, at least")) == 1
    assert any("3 x extra at a balancing valve" in note for note in table.notes)


def test_taps_are_counted_and_not_in_the_lengths() -> None:
    bare = listed("heat-trace", service=TRACED, more="        up 1 ft\n")
    table = listed("heat-trace", service=TRACED, more="        drain 3/4\n        up 1 ft\n")
    (drain,) = find(table, what="drain on the line, not in the lengths")
    assert (drain.cells["total"], drain.cells["size"]) == (3, "3/4")
    assert [r.cells["total"] for r in find(table, what="cable")] == [r.cells["total"] for r in find(bare, what="cable")]


def test_loss_is_not_known_without_the_insulation() -> None:
    table = listed("heat-trace", service="    heat traced\n    coldest surroundings 0 degF\n")
    (pipe,), (cable,) = find(table, what="traced pipe"), find(table, what="cable")
    assert pipe.cells["loss"] is NOT_MEASURED and cable.cells["rating"] is NOT_MEASURED
    assert find(table, unit="W") == []
    assert any("insulation of glass fiber" in note for note in table.notes)


def test_nothing_is_traced_where_nothing_says_so() -> None:
    table = listed("heat-trace")
    assert table.rows == () and table.notes == ()


@pytest.mark.parametrize(
    ("line", "rule"),
    [
        ("    insulation of straw\n", "no-such-insulation"),
        ("    insulation k 0.25\n", "not-a-conductivity"),
        ("    insulation k 0 W per m K\n", "not-a-conductivity"),
        ("    heat traced, warm 40 degF\n", "unknown-detail"),
        ("    heat traced, hold 40 ft\n", "not-a-temperature"),
    ],
)
def test_bad_facts_are_found(line: str, rule: str) -> None:
    made = compile_text(FILE.format(**{**EMPTY, "service": line}))
    assert rule in {f.rule for f in made.findings if f.severity == "error"}


def test_metric_conductivity_is_the_same() -> None:
    """0.036 W/(m K) are 0.2496 Btu in/(h ft2 F)."""
    metric = TRACED.replace("insulation of glass fiber", "insulation k 0.0360570 W per m K")
    imperial = TRACED.replace("insulation of glass fiber", "insulation k 0.25 Btu in per h ft2 degF")
    ours, theirs, table = (listed("heat-trace", service=text) for text in (metric, imperial, TRACED))
    assert ours.rows == theirs.rows == table.rows


# -- penetrations --------------------------------------------------------------------------------------------------


def test_holes_are_worked_out_and_placed() -> None:
    table = listed("penetrations", hole=", hole 6 in")
    first, second = find(table, units="AH-1, AH-2")
    assert [first.cells[key] for key in ("width", "saw", "sleeve", "given", "fits")] == [6, 6, "6", 6, "yes"]
    assert [first.cells[axis] for axis in ("right", "toward", "up")] == [140, 0, NOT_MEASURED]
    assert (second.cells["plate"], second.cells["at"], second.cells["up"]) == ("roof deck", 12, 60)
    assert second.cells["fits"] == "no hole said"


def test_place_of_the_floor_and_the_other_hand() -> None:
    table = listed("penetrations", hole=", hole 5 in, at up 0 in")
    (one,) = find(table, units="AH-3", plate="floor")
    assert (one.cells["fits"], one.cells["right"], one.cells["up"]) == ("no", -140, 0)


def test_holes_are_counted_by_what_they_go_through() -> None:
    bought = find(listed("penetrations"), hole="to make")
    assert {(r.cells["plate"], r.cells["total"], r.cells["seals"]) for r in bought} == {
        ("floor", 3, 6),
        ("roof deck", 3, 6),
    }


def test_bare_pipe_needs_its_own_width_and_what_is_not_said_is_named() -> None:
    bare, unsaid = (rewritten("penetrations", words) for words in ("insulate 0 in", "open system"))
    assert {row.cells["width"] for row in bare.rows} == {4}
    assert {row.cells["width"] for row in unsaid.rows} == {NOT_MEASURED}
    assert any("`insulate` of: well" in note for note in unsaid.notes)


# -- condensate ----------------------------------------------------------------------------------------------------


def test_condensate_of_what_is_declared() -> None:
    coil = "        draw-through 3 in wg\n        condensate outlet 1\n        condensate pitch 1/8 in per ft\n"
    table = listed("condensate", coil=coil)
    traps, total = table.rows
    assert [traps.cells[key] for key in ("drop", "seal", "size", "count")] == [4, 2, "1", 3]
    assert float(traps.cells["depth"]) == pytest.approx(4 + 2 + 1.315)  # type: ignore[arg-type]
    assert (total.cells["size"], total.cells["count"]) == ("1", 3)


def test_condensate_without_the_static_is_not_known() -> None:
    (row, _) = listed("condensate", coil="        condensate outlet 1/2\n").rows
    assert row.cells["drop"] is NOT_MEASURED and row.cells["seal"] is NOT_MEASURED
    assert row.cells["size"] == "3/4"


def test_nothing_where_nothing_is_declared() -> None:
    assert listed("condensate").rows == ()


def test_saws_end_somewhere() -> None:
    table = rewritten("penetrations", "insulate 10 in")
    assert {row.cells["saw"] for row in table.rows} == {NOT_IN_TABLES}


def test_metric_lists_say_the_same() -> None:
    """Feet as metres, pieces as they are: by the factor alone."""
    table = listed("heat-trace", service=TRACED)
    for row, metric in zip(table.rows, in_metric(table).rows, strict=True):
        factor = 0.3048 if row.cells["unit"] == "ft" else 1
        assert number(metric, "total") == pytest.approx(factor * number(row, "total"), abs=0.001)
        assert metric.cells["unit"] == {"ft": "m"}.get(str(row.cells["unit"]), row.cells["unit"])
