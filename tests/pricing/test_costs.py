"""What a job costs, added up again by itself."""

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from coilwright import compile_file
from coilwright.cli import main
from coilwright.model.table import NO_PRICE, Table
from coilwright.pricing.book import read_book
from coilwright.pricing.books import together
from coilwright.pricing.labour import Choice
from coilwright.pricing.summary import Offer, offer
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
        if isinstance(price, float) and row.cells.get("per") in (None, "ft"):
            exact = cents(quantity) * cents(price)
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


def test_the_costs_have_every_row_of_the_bill_and_its_quantity() -> None:
    job = compile_file(EXAMPLES / "aquarium-pair.hookup")
    bill = job.tables(["bill"])[0]
    wanted: dict[tuple[object, ...], Fraction] = {}
    for table in (bill, offered("aquarium-pair").tables["costs"]):
        for row in table.rows:
            if table is bill or row.cells["group"] not in ("insulation", "hangers", "heat trace"):
                key = tuple(row.cells[k] for k in ("group", "size", "description", "unit"))
                amount = row.cells["total" if table is bill else "quantity"]
                assert isinstance(amount, int | float)
                sign = 1 if table is bill else -1
                wanted[key] = wanted.get(key, Fraction(0)) + sign * Fraction(repr(amount))
    assert len(wanted) > 20
    assert all(abs(rest) <= Fraction(1, 50) for rest in wanted.values())


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
