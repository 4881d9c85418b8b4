"""The loader, and that every shipped table is whole, sourced and readable."""

from fractions import Fraction
from pathlib import Path

import pytest
from coilwright.catalogue import tables
from coilwright.catalogue.tables import TableError, decimal, inches, table, table_source
from coilwright.model.size import find_size

ROOT = Path(__file__).parents[2]
#: Lists of preferences, not of facts: their headers say what they rest on.
PREFERENCES = {"pieces"}
NAMES = sorted({path.stem for path in (ROOT / "compiler/catalogue/tables").glob("*.csv")} - PREFERENCES)
SIZE_COLUMNS = {"nps", "nominal", "run", "outlet", "low", "high"}
#: Decimal, not sixteenths: walls and diameters of pipe, threads, nuts, malleable fittings.
DECIMAL_TABLES = {
    "pipe_steel",
    "tube_copper",
    "npt_engagement",
    "bolting",
    "threaded_fittings",
    "hangers",
    "nipples",
    "insulation",
    "slip_on_hubs",
}


def test_the_tables_are_found() -> None:
    assert {"pipe_steel", "flanges", "bolting", "weld_tees", "valve_lengths"} <= set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_header_names_a_standard(name: str) -> None:
    assert any(body in table_source(name) for body in ("ASME", "ASTM", "MSS", "API", "ASHRAE", "WAC", "AWS"))


@pytest.mark.parametrize("name", NAMES)
def test_every_row_has_a_source_that_the_page_explains(name: str) -> None:
    page = (ROOT / "docs/sources.md").read_text(encoding="utf-8")
    keys = {line.split("`")[1] for line in page.splitlines() if line.startswith("| `")}
    assert len(keys) > 20
    assert table(name)
    for row in table(name):
        for column in (c for c in row if c.endswith("source")):
            used = [word for word in row[column].replace(";", "").split() if not word.endswith(":")]
            assert used, (name, row)
            assert set(used) <= keys, (name, row)


@pytest.mark.parametrize("name", NAMES)
def test_the_page_has_a_section_for_the_table(name: str) -> None:
    page = (ROOT / "docs/sources.md").read_text(encoding="utf-8")
    assert any(name in line for line in page.splitlines() if line.startswith("## "))


@pytest.mark.parametrize("name", NAMES)
def test_every_cell_reads(name: str) -> None:
    for row in table(name):
        for column, text in row.items():
            if column in SIZE_COLUMNS:
                assert find_size(text), (name, row)
            elif column == "to" and name == "weld_reducers":
                assert all(find_size(word) for word in text.split())
            elif text and (column.endswith(("_in", "_ft", "_mm")) or column.startswith("wall_") or column == "tpi"):
                length = decimal(text) if name in DECIMAL_TABLES or not column.endswith("_in") else inches(text)
                assert length > 0 or column == "face_in", (name, row)


def test_a_table_is_read_once_and_kept() -> None:
    assert table("pipe_steel") is table("pipe_steel")


@pytest.mark.parametrize(
    ("text", "value"),
    [("1.12", "9/8"), ("0.06", "1/16"), ("3.32", "53/16"), ("0.97", "31/32"), ("1.69", "27/16"), ("3-1/2", "7/2")],
)
def test_two_places_stand_for_a_fraction(text: str, value: str) -> None:
    assert inches(text) == Fraction(value)


@pytest.mark.parametrize("text", ["0.95", "x", "", "1/0"])
def test_what_is_no_sixteenth_is_refused(text: str) -> None:
    with pytest.raises(TableError):
        inches(text)


def test_decimal_keeps_what_was_printed() -> None:
    assert decimal("0.95") == Fraction(19, 20)


@pytest.mark.parametrize(
    "text", ["nps,a\n1,2\n", "# head\nnps,a\n1\n", "# head\nnps,a\n1,2,3\n", "# head\nnps,nps\n1,2\n", "# only\n"]
)
def test_a_malformed_table_raises(text: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "tables").mkdir()
    (tmp_path / "tables" / "broken.csv").write_text(text, encoding="utf-8")
    monkeypatch.setattr(tables, "files", lambda package: tmp_path)
    with pytest.raises(TableError):
        table("broken")
