"""The fluid charge: what is in it, what is not, what is bought for it."""

from pathlib import Path

import pytest
from coilwright import Compilation, compile_file, compile_text
from coilwright.model.table import NOT_IN_TABLES, Row, Table
from coilwright.report.units import in_metric

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.hookup"))
FILE = """
service loop
    {fluid}
    design 125 psi, 24 degF to 100 degF
    spec annex
spec annex
    1/2 to 2       threaded, carbon steel schedule 80, malleable iron class 150
    2-1/2 to 12    welded, carbon steel schedule 40, flanges class 150 raised face slip-on
typical one, drawn with airflow left to right
    coil CC on loop
        supply low, 4 flanged
        return high, 4 flanged
        headers steel
{coil}
    supply to CC, 4
        from main CHS
        left 10 ft
        {valve}
        left 10 ft
    return from CC, 4
        to main CHR
unit AH-1 is one, number 1, airflow left to right
unit AH-2 is one, number 2, airflow right to left
unit AH-3 is one, number 3, airflow right to left
takeoff
{takeoff}
    saw kerf 1/8 in
"""
GLYCOL = "propylene glycol, 30 % by volume"


def made(
    fluid: str = GLYCOL, coil: str = "holds 19 gal", valve: str = "butterfly valve BV-1", takeoff: str = ""
) -> Compilation:
    text = FILE.format(fluid=fluid, coil=f"        {coil}", valve=valve, takeoff=f"    {takeoff}")
    compilation = compile_text(text, name="test.hookup")
    assert [f.message for f in compilation.findings if f.rule in ("not-understood", "not-positive")] == []
    return compilation


def table(compilation: Compilation, name: str) -> Table:
    (found,) = compilation.tables([name])
    return found


def number(row: Row, key: str) -> float:
    value = row.cells[key]
    assert isinstance(value, int | float), (key, value)
    return value


def test_volume_of_a_run_by_hand() -> None:
    """20 ft of NPS 4 schedule 40, 4.026 in inside, less what flanges, gaskets and valve take of it: about 13 gal."""
    (row,) = table(made(), "charge").rows
    pipe, bodies, fittings = (number(row, key) for key in ("pipe", "bodies", "fittings"))
    whole = 3.14159265 / 4 * 4.026**2 * 240 / 231
    assert whole - 0.15 < pipe + fittings + bodies < whole + 0.15 and pipe < whole
    assert number(row, "coils") == 19
    assert number(row, "each") == pytest.approx(pipe + bodies + fittings + 19, abs=0.02)
    assert row.cells["count"] == 3
    assert number(row, "total") == pytest.approx(3 * number(row, "each"))
    assert number(row, "missing") == 1 and row.cells["which"] == ("1 pipe 4 (not measured)",)  # the return


def test_a_coil_that_says_nothing_is_named_and_not_nought() -> None:
    (row,) = table(made(coil=""), "charge").rows
    which = row.cells["which"]
    assert isinstance(which, tuple)
    assert "1 coil CC: the file does not say what it holds (not in the tables)" in which
    (buy,) = table(made(coil=""), "charge-to-buy").rows
    assert number(buy, "missing") == 3 * len(which)


@pytest.mark.parametrize("valve", ["balancing valve FB-1", "strainer ST-1", "globe valve GV-1", "check valve CV-1"])
def test_bodies_unlike_pipe_hold_what_their_makers_say(valve: str) -> None:
    (row,) = table(made(valve=valve), "charge").rows
    assert row.cells["bodies"] == 0
    assert any(valve.split()[0] in name for name in row.cells["which"] or ())  # type: ignore[union-attr]


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_what_is_bought_is_for_all_units(example: Path) -> None:
    compilation = compile_file(example)
    rows = table(compilation, "charge").rows
    for buy in table(compilation, "charge-to-buy").rows:
        own = [row for row in rows if row.cells["service"] == buy.cells["service"]]
        assert number(buy, "total") == pytest.approx(sum(number(row, "total") for row in own), abs=0.06 + 0.005 * 40)
        assert number(buy, "missing") == sum(number(row, "missing") * number(row, "count") for row in own)
        assert number(buy, "count") == sum(number(row, "count") for row in own)
        assert buy.origin


def test_glycol_water_spare_and_drums() -> None:
    (row,) = table(made(takeoff="spare glycol 10 %\n    glycol in pails of 5 gal"), "charge-to-buy").rows
    total, glycol, water = (number(row, key) for key in ("total", "glycol", "water"))
    assert glycol / (glycol + water) == pytest.approx(0.30, abs=0.002)
    assert 1.01 * total < glycol + water < 1.03 * total
    assert number(row, "extra") == pytest.approx(0.1 * glycol, abs=0.06)
    assert number(row, "buy") == pytest.approx(glycol + number(row, "extra"))
    assert row.cells["packs"] == -(-number(row, "buy") // 5) and row.cells["packed"] == "pails of 5 gal"
    assert row.cells["freezes"] == 8.4


def test_without_a_word_glycol_comes_in_drums_and_no_spare() -> None:
    found = table(made(), "charge-to-buy")
    (row,) = found.rows
    assert row.cells["packed"] == "drums of 55 gal" and row.cells["packs"] == 1 and row.cells["extra"] is None
    assert any("as usual where the file does not say" in note for note in found.notes)


def test_water_takes_no_glycol() -> None:
    (row,) = table(made(fluid="water"), "charge-to-buy").rows
    assert row.cells.get("glycol") is None and row.cells.get("packs") is None and row.cells["freezes"] == 32
    assert number(row, "water") == pytest.approx(number(row, "total"), rel=2e-3)


def test_stronger_than_the_table_is_unknown() -> None:
    (row,) = table(made(fluid="propylene glycol, 70 % by volume"), "charge-to-buy").rows
    assert [row.cells[key] for key in ("freezes", "water", "glycol", "buy")] == [NOT_IN_TABLES] * 4
    assert number(row, "total") > 0 and row.cells.get("packs") is None


def test_steam_is_no_charge() -> None:
    assert table(made(fluid="steam"), "charge").rows == ()


def test_units_of_different_volume_are_told_apart_in_both_systems() -> None:
    """`AH-1: 20` is a number of gallons, and of litres in metric."""
    found = table(compile_text(OTHER, name="t.hookup"), "charge-to-buy")
    (row,) = found.rows
    assert row.cells["each"] == "AH-1: 20; AH-2: 8" and row.cells["total"] == 28
    (metric,) = in_metric(found).rows
    assert metric.cells["each"] == "AH-1: 75.708; AH-2: 30.283"


OTHER = """
service loop
    water
    design 125 psi, 24 degF to 100 degF
    spec steel-welded
""" + "".join(
    f"""
unit {tag}, airflow left to right
    coil CC on loop
        supply low, 4 flanged
        return high, 4 flanged
        holds {holds} gal
    supply to CC, 4
        from main CHS
    return from CC, 4
        to main CHR
"""
    for tag, holds in (("AH-1", 20), ("AH-2", 8))
)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_only_what_is_of_one_kind_adds_up(example: Path) -> None:
    """Solder and flux are of the same joints, a volume of water and one of glycol are no volume of anything."""
    adds = {
        table.name: {column.key for column in table.columns if column.adds_up}
        for table in compile_file(example).tables(["consumables", "charge", "charge-to-buy"])
    }
    assert adds["consumables"] == adds["charge"] == set()
    assert adds["charge-to-buy"] == {"water", "glycol", "extra", "buy"}


def test_two_glycols_do_not_add_up() -> None:
    text = FILE.format(fluid=GLYCOL, coil="", valve="vent", takeoff="")
    other = text.replace("service loop", "service other").replace("propylene", "ethylene").partition("spec annex")[0]
    both = other + text.replace("coil CC on loop", "coil CC on loop\n        holds 3 gal")
    both = both.replace(
        "    supply to CC, 4",
        """    coil HC on other
        supply low, 4 flanged
        return high, 4 flanged
        holds 5 gal
    supply to HC, 4
        from main GHS
        right 10 ft
    return from HC, 4
        to main GHR
    supply to CC, 4""",
    )
    (table,) = compile_text(both).tables(["charge-to-buy"])
    assert len(table.rows) == 2
    assert [column.key for column in table.columns if column.adds_up] == ["water"]


def test_metric_volumes_of_one_unit_and_of_all_agree() -> None:
    """Three units take three times as much as one, and spare glycol is its share of what there is."""
    text = FILE.format(fluid=GLYCOL, coil="        holds 5 gal", valve="hanger", takeoff="    spare glycol 5 %")
    charge, to_buy = map(in_metric, compile_text(text).tables(["charge", "charge-to-buy"]))
    (all_units,) = to_buy.rows
    each, whole, glycol, extra = (all_units.cells[key] for key in ("each", "total", "glycol", "extra"))
    assert isinstance(each, float) and isinstance(whole, float)
    assert isinstance(glycol, float) and isinstance(extra, float)
    assert whole == pytest.approx(3 * each, abs=0.0021)
    assert extra == pytest.approx(glycol / 20, abs=0.0006)
    assert sum(float(str(row.cells["total"])) for row in charge.rows) == pytest.approx(whole, abs=0.0021)
