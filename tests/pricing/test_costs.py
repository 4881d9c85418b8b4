"""What a job costs, added up again by itself."""

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from coilwright import compile_file, compile_text
from coilwright.cli import main
from coilwright.model.table import NO_PRICE, Table
from coilwright.pricing.book import read_book
from coilwright.pricing.books import together
from coilwright.pricing.labour import Choice
from coilwright.pricing.parts import sum_note
from coilwright.pricing.summary import Offer, alternates, offer
from coilwright.report.units import in_metric

EXAMPLES = Path(__file__).parents[2] / "examples"
BOOKS = [EXAMPLES / "demo-prices.csv", EXAMPLES / "demo-hours.csv"]


def offered(name: str, *chosen: Choice, books: list[Path] = BOOKS) -> Offer:
    job = compile_file(EXAMPLES / f"{name}.hookup").job
    return offer(job, together([read_book(str(path), path.read_bytes()) for path in books]), chosen)


def cents(value: object) -> Decimal:
    return Decimal(repr(value))


def added(table: Table, key: str) -> Decimal:
    values = [row.cells.get(key) for row in table.rows]
    return sum((cents(value) for value in values if isinstance(value, int | float)), Decimal(0))


@pytest.mark.parametrize("name", ["stacked-coils", "aquarium-pair", "fan-coil-forty", "preheat-pumped"])
def test_extensions_and_all_subtotals_add_up(name: str) -> None:
    made = offered(name, Choice("height"), Choice("night", "*1"))
    costs, hours, summary = (made.tables[table] for table in ("costs", "hours", "cost-summary"))
    for row in costs.rows:
        price, net, quantity = (row.cells.get(key) for key in ("price", "net", "quantity"))
        if isinstance(price, float):
            exact = cents(quantity) * cents(price) / cents(row.cells["scale"])
            assert cents(net) == exact.quantize(Decimal("0.01"), ROUND_HALF_UP)
    for row in hours.rows:
        if isinstance(row.cells["hours"], float) and isinstance(row.cells.get("cost"), float):
            times = Decimal(1)
            for factor in row.cells["factors"] or ():  # type: ignore[union-attr]
                times *= Decimal(str(factor).rsplit(" ", 1)[1])
            spent = cents(row.cells["quantity"]) * cents(row.cells["each"]) * times
            assert cents(row.cells["hours"]) == spent.quantize(Decimal("0.01"), ROUND_HALF_UP)
            paid = cents(row.cells["hours"]) * cents(row.cells["rate"])
            assert cents(row.cells["cost"]) == paid.quantize(Decimal("0.01"), ROUND_HALF_UP)
    for section in ("all", "unit", "line", "trade", "phase"):
        of = [row for row in summary.rows if row.cells["by"] == section]
        for key, whole in (
            ("material", added(costs, "cost")),
            ("hours", added(hours, "hours")),
            ("labour", added(hours, "cost")),
        ):
            assert sum((cents(row.cells[key]) for row in of), Decimal(0)) == whole, (section, key)
    assert added(costs, "cost") > 0


BESIDE = ("insulation", "hangers", "heat trace", "consumables", "glycol")


def test_the_costs_have_every_row_of_the_bill_and_its_quantity() -> None:
    """Pipe of one size and material is one row of the costs, however the bill knows its lengths."""
    job = compile_file(EXAMPLES / "aquarium-pair.hookup")
    bill = job.tables(["bill"])[0]
    wanted: dict[tuple[object, ...], Fraction] = {}
    pipe: list[int] = []
    for table in (bill, offered("aquarium-pair").tables["costs"]):
        pipe.append(sum(row.cells["group"] == "pipe" and row.cells["unit"] == "ft" for row in table.rows))
        for row in table.rows:
            if table is bill or row.cells["group"] not in BESIDE:
                name = str(row.cells["description"]).removesuffix(", centre to centre")
                key = (name, *(row.cells[k] for k in ("group", "size", "unit")))
                amount = row.cells["total" if table is bill else "quantity"]
                assert isinstance(amount, int | float)
                sign = 1 if table is bill else -1
                wanted[key] = wanted.get(key, Fraction(0)) + sign * Fraction(repr(amount))
    assert len(wanted) > 20
    assert all(abs(rest) <= Fraction(1, 50) for rest in wanted.values())
    assert pipe[1] < pipe[0]


def test_what_other_lists_buy_is_priced_and_missed_where_it_is_not(tmp_path: Path) -> None:
    """Rod and solder by the pound, sealant by the joint, neat glycol by the gallon, each as its list has it."""
    compilation = compile_file(EXAMPLES / "aquarium-pair.hookup")
    used, mixed = compilation.tables(["consumables", "charge-to-buy"])
    rod = next(row.cells for row in used.rows if row.cells["description"] == "filler, stick, diameter not said")
    sealant = next(row.cells for row in used.rows if row.cells["what"] == "threads")
    glycol = next(row.cells for row in mixed.rows if row.cells["service"] == "chilled-glycol")
    made = offered("aquarium-pair")
    priced = {str(row.cells["description"]): row.cells for row in made.tables["costs"].rows}
    row = priced["filler, stick, diameter not said"]
    assert (row["quantity"], row["extra"], row["unit"], row["scale"]) == (rod["net"], rod["extra"], "lb", 10)
    assert cents(row["net"]) == (cents(rod["net"]) * Decimal("4.31")).quantize(Decimal("0.01"), ROUND_HALF_UP)
    row = priced["sealant, not said"]
    assert (row["quantity"], row["unit"]) == (sealant["joints"], "joints")
    assert cents(row["net"]) == (cents(sealant["joints"]) * Decimal("0.18")).quantize(Decimal("0.01"), ROUND_HALF_UP)
    row = priced["propylene glycol"]
    assert (row["quantity"], row["unit"]) == (glycol["glycol"], "gal")
    assert cents(row["net"]) == (cents(glycol["glycol"]) * Decimal("23.75")).quantize(Decimal("0.01"), ROUND_HALF_UP)
    least = [row.cells for row in made.tables["no-price"].rows if row.cells["what"] == "propylene glycol"]
    assert len(least) == 1 and f"{glycol['missing']} parts hold" in str(least[0]["why"])

    book = tmp_path / "pipe.csv"
    book.write_text('item,unit,price\n"pipe, carbon steel schedule 40",ft,10\n')
    none = {
        row.cells["what"]: row.cells["why"] for row in offered("aquarium-pair", books=[book]).tables["no-price"].rows
    }
    for what in ("filler, stick, diameter not said", "sealant, not said", "propylene glycol", "insulate pipe"):
        assert str(none[what]).startswith("the books do not have the "), what


def test_coils_and_mains_are_named_as_not_bought() -> None:
    said = next(note for note in offered("stacked-coils").tables["costs"].notes if "Not bought here" in note)
    hookups = compile_file(EXAMPLES / "stacked-coils.hookup").hookups
    mains = {c.tag for hookup in hookups for c in hookup.components() if c.kind.ports == "main"}
    assert mains and all(main in said for main in mains)
    assert f"{sum(len(h.coils) * len(h.units) for h in hookups)} coils (" in said


TWO = """service cold
    water
    design 100 psi, 42 degF to 90 degF
    spec steel-welded
    insulate 1 in
service warm
    water
    design 100 psi, 90 degF to 180 degF
    spec steel-welded
    insulate 1 in
    insulation of glass fiber
    heat traced, hold 70 degF
    coldest surroundings 0 degF
typical ah, drawn with airflow left to right
    coil CC-* on cold
        supply low at leaving side, 3 flanged
        return high at entering side, 3 flanged
    coil HC-* on warm
        supply low at leaving side, 3 flanged
        return high at entering side, 3 flanged
    supply to CC-*, 3
        from main CS
        right 10 ft
    return from CC-*, 3
        right 10 ft
        to main CR
    supply to HC-*, 3
        from main HS
        right 10 ft
    return from HC-*, 3
        right 10 ft
        to main HR
unit AH-1 is ah, number 1, airflow left to right
unit AH-2 is ah, number 2, airflow left to right
"""


def two(*rows: str) -> Offer:
    text = "\n".join(("# currency XTS", "trade,crew rate", "insulation,50", "electrical trace,60", *rows)) + "\n"
    return offer(compile_text(TWO).job, together([read_book("b.csv", text.encode())]))


def test_insulation_of_two_services_may_have_two_prices() -> None:
    """10 ft of line less what the flanges take, in two lines of two units: elastomer at 3.00, glass fiber at 5.00."""
    made = two("item,spec,unit,price", '"insulation, pipe, 1 in",cold,ft,3.00', '"insulation, pipe, 1 in",warm,ft,5.00')
    rows = {
        str(row.cells["spec"]): row.cells
        for row in made.tables["costs"].rows
        if row.cells["description"] == "insulation, pipe, 1 in"
    }
    assert set(rows) == {"cold", "warm"}
    assert rows["cold"]["quantity"] == rows["warm"]["quantity"]
    assert cents(rows["cold"]["net"]) == cents(rows["cold"]["quantity"]) * 3
    assert cents(rows["warm"]["net"]) == cents(rows["warm"]["quantity"]) * 5
    either = two("item,unit,price", '"insulation, pipe, 1 in",ft,3.00').tables["costs"]
    assert [row.cells["price"] for row in either.rows if row.cells["description"] == "insulation, pipe, 1 in"] == [3, 3]


def test_hours_for_insulating_and_tracing() -> None:
    """Both lists count feet and pieces; the hours are those times the book's, each trade at its own crew rate."""
    made = two(
        "operation,size,detail,unit,hours",
        "insulate pipe,3,1 in,ft,0.10", "insulate flange pair,3,,pieces,0.5",
        "trace pipe,3,8 W/ft,100 ft,4", "trace power connection,,,pieces,0.75", "trace end seal,,,pieces,0.25",
    )  # fmt: skip
    insulated, traced = compile_text(TWO).tables(["insulation", "heat-trace"])
    feet = sum(cents(row.cells["total"]) for row in insulated.rows if row.cells["part"] == "pipe")
    pairs = sum(int(str(row.cells["total"])) for row in insulated.rows if row.cells["what"] == "flange pair")
    cable = sum(cents(row.cells["total"]) for row in traced.rows if row.cells["what"] == "cable")
    rows = {str(row.cells["operation"]): row.cells for row in made.tables["hours"].rows}
    assert pairs == 8  # two coils of two connections in two units
    wanted = {
        "insulate pipe": feet / 10, "insulate flange pair": Decimal(pairs) / 2, "trace pipe": cable * 4 / 100,
        "trace power connection": Decimal(4) * Decimal("0.75"), "trace end seal": Decimal(4) / 4,
    }  # fmt: skip
    for name, spent in wanted.items():
        rate = 50 if name.startswith("insulate") else 60
        assert abs(cents(rows[name]["hours"]) - spent) <= Decimal("0.01"), name
        assert cents(rows[name]["cost"]) == cents(rows[name]["hours"]) * rate
    trades = {
        row.cells["name"]: row.cells["hours"] for row in made.tables["cost-summary"].rows if row.cells["by"] == "trade"
    }
    assert cents(trades["insulation"]) == cents(rows["insulate pipe"]["hours"]) + cents(
        rows["insulate flange pair"]["hours"]
    )


def test_the_summary_is_in_the_order_of_the_file() -> None:
    rows = two("item,unit,price", '"insulation, pipe, 1 in",ft,3.00').tables["cost-summary"].rows
    by = {key: [row.cells["name"] for row in rows if row.cells["by"] == key] for key in ("line", "trade", "phase")}
    assert by["line"] == [
        "supply to CC-*", "return from CC-*", "supply to HC-*", "return from HC-*", "not by line",
    ]  # fmt: skip
    assert by["trade"] == ["pipe", "insulation", "electrical trace"]
    assert by["phase"] == ["material", "shop", "field"]
    measured = offered("stacked-coils").tables["cost-summary"].rows
    assert [row.cells["name"] for row in measured if row.cells["by"] == "unit"][-1] == "spares and waste"


def test_a_side_without_any_price_is_not_0() -> None:
    there = two("item,unit,price", '"gasket class 150, full face, 1/8 in, compressed fiber",pieces,3')
    rows = {str(row.cells["what"]): row.cells for row in alternates(there, there, "the same").rows}
    assert rows["flanges"]["drawn"] is NO_PRICE and rows["flanges"]["instead"] is NO_PRICE


@pytest.mark.parametrize(("missing", "said"), [(1, "; 1 row has no price"), (2, "; 2 rows have no price")])
def test_a_sum_that_is_the_least_says_so_in_words(missing: int, said: str) -> None:
    assert said in sum_note("Material", Decimal(1), "XTS", missing)
    assert sum_note("Material", Decimal("1234.5"), "XTS", 0) == "Material: 1,234.50 XTS."


def test_what_has_no_price_says_so_and_sums_say_at_least(tmp_path: Path) -> None:
    lines = BOOKS[0].read_text().splitlines(True)
    short = tmp_path / "short.csv"
    short.write_text("".join(line for line in lines if "butterfly valve" not in line))
    made = offered("stacked-coils", books=[short, BOOKS[1]])
    gone = [row for row in made.tables["costs"].rows if row.cells["cost"] is NO_PRICE]
    assert {str(row.cells["description"]).split(",")[0] for row in gone} == {"butterfly valve", "insulation"}
    named = [row.cells["description"] for row in made.tables["no-price"].rows if row.cells["list"] == "costs"]
    assert named == [row.cells["description"] for row in gone]
    assert any("at least" in note for note in made.tables["costs"].notes)
    assert made.tables["cost-summary"].rows[0].cells["known"] == "at least"


def test_factors_only_on_units_that_fit() -> None:
    plain, all_units, one = (
        added(offered("aquarium-pair", *chosen).tables["hours"], "hours")
        for chosen in ((), (Choice("night"),), (Choice("night", "GA-1"),))
    )
    assert plain < one < all_units
    assert abs(all_units - plain * Decimal("1.2")) < Decimal("0.5")


def test_every_list_that_uses_the_demonstration_says_so() -> None:
    for table in offered("stacked-coils").tables.values():
        assert any("Invented" in note for note in table.notes), table.name


def test_command_with_an_alternate(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["price", str(EXAMPLES / "stacked-coils.hookup"), *(w for b in BOOKS for w in ("--book", str(b)))]
    assert main([*words, "--format", "csv", "--instead", "steel-welded=steel-grooved", "--list", "no-price"]) == 0
    out = capsys.readouterr().out
    assert "weld butt" in out
    assert "groove joint" in out
    assert main([*words, "--instead", "no-such=steel-grooved"]) == 2
    assert "no service has the spec `no-such`" in capsys.readouterr().err


def test_metric_keeps_the_price_and_what_it_is_for() -> None:
    table = offered("stacked-coils").tables["costs"]
    changed = in_metric(table)
    row, old = changed.rows[0], table.rows[0]
    assert (row.cells["unit"], row.cells["per"]) == ("m", "ft")
    assert (row.cells["price"], row.cells["cost"]) == (old.cells["price"], old.cells["cost"])
    assert row.cells["quantity"] != old.cells["quantity"]


@pytest.mark.parametrize("form", ["text", "csv", "json", "md"])
def test_every_format_and_metric(form: str, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["price", str(EXAMPLES / "stacked-coils.hookup"), "--book", str(BOOKS[0]), "--format", form]
    assert main([*words, "--units", "metric", "--quiet"]) == 0
    assert "XTS" in capsys.readouterr().out


def test_an_unusable_book_ends_with_its_problems(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = tmp_path / "b.csv"
    book.write_text("item,price\ntee,1\n")
    assert main(["price", str(EXAMPLES / "one-coil.hookup"), "--book", str(book)]) == 2
    assert "has no unit" in capsys.readouterr().err


UNMEASURED = """\
service chilled-water
    water
    design 125 psi, 42 degF to 90 degF
    spec steel-welded
unit AH-1, airflow left to right
    coil CC on chilled-water
        supply low, 3 flanged
        return high, 3 flanged
    supply to CC, 3
        from main CHS
        butterfly valve BV-1
        vent 1/2
        balancing valve FB-1
        right
        down
    return from CC, 3
        butterfly valve BV-2
        right
        up
        to main CHR
"""


def test_what_is_not_measured_is_not_blamed_on_the_books() -> None:
    job = compile_text(UNMEASURED, name="unmeasured.hookup").job
    tables = offer(job, together([read_book(str(path), path.read_bytes()) for path in BOOKS])).tables
    pipe = [row.cells for row in tables["no-price"].rows if "length not measured" in str(row.cells["what"])]
    assert {str(cells["what"]).split(",")[0] for cells in pipe} == {"pipe", "nipple"}
    assert {cells["why"] for cells in pipe} == {"length not measured"}


def test_pipe_under_a_lone_outlet_is_handled_as_the_pipe_that_it_is() -> None:
    """The outlet of the vent stands between two flanges: its pipe has no run of its own in the file."""
    job = compile_text(UNMEASURED, name="unmeasured.hookup").job
    hours = offer(job, together([read_book(str(path), path.read_bytes()) for path in BOOKS])).tables["hours"]
    handled = [row.cells for row in hours.rows if row.cells["operation"] == "handle pipe"]
    assert [(cells["size"], cells["detail"]) for cells in handled] == [("3", "carbon steel schedule 40")]
