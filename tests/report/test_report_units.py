"""Metric against inch-pound: by pint's own units, row by row, for every list of every example."""

from __future__ import annotations

import re
from collections import Counter
from fractions import Fraction

import pint
import pytest
from coilwright.model.rounded import PerUnit, Rounded
from coilwright.model.size import find_size
from coilwright.model.span import Span
from coilwright.model.table import NOT_MEASURED, Column, Row, Table
from coilwright.report.document import Look, render
from coilwright.report.result import Result
from coilwright.report.units import METRIC, in_metric, in_words
from example_lists import tables

HERE = (Span("gallery.hookup", 41, 9, 41, 36),)
UREG = pint.UnitRegistry()
#: Our names of units in pint's own words.
PINT = {
    "in": "inch", "ft-in": "inch", "ft": "foot", "sq in": "inch**2", "sq ft": "foot**2", "cu ft": "foot**3",
    "lb": "pound", "lb/ft": "pound/foot", "psi": "psi", "gal": "gallon", "gpm": "gallon/minute", "degF": "degF",
    "ft/s": "foot/second", "in/ft": "inch/foot", "W/ft": "watt/foot", "inwg": "inch_H2O_4C",
    "mm": "millimeter", "m": "meter", "cm2": "centimeter**2", "m2": "meter**2", "m3": "meter**3", "kg": "kilogram",
    "kg/m": "kilogram/meter", "bar": "bar", "L": "liter", "L/s": "liter/second", "degC": "degC", "m/s": "meter/second",
    "mm/m": "millimeter/meter", "W/m": "watt/meter", "Pa": "pascal",
}  # fmt: skip
#: Units that mean the same in both systems.
BOTH = {"", "W", "h", "min", "%", "pieces", "sets", "deg"}


def by_pint(value: float, old: str, new: str) -> float:
    return float(UREG.Quantity(value, PINT[old]).to(PINT[new]).magnitude)


@pytest.mark.parametrize("unit", METRIC)
def test_factors_are_those_of_pint(unit: str) -> None:
    near = 5e-5 if unit == "inwg" else 2e-6  # the density of water at 39.2 degF is not quite the same everywhere
    for value in (Fraction(0), Fraction(1), Fraction(377, 8)):
        there = METRIC[unit](value)
        assert there == pytest.approx(by_pint(float(value), unit, METRIC[unit].unit), rel=near, abs=1e-9)


def test_every_number_of_every_list_row_by_row() -> None:
    compared: Counter[str] = Counter()
    for table in tables():
        metric = in_metric(table)
        assert len(metric.rows) == len(table.rows)
        for old_column, new_column in zip(table.columns, metric.columns, strict=True):
            for old, new in zip(table.rows, metric.rows, strict=True):
                value, there = old.cells.get(old_column.key), new.cells.get(old_column.key)
                counted_in = "" if table.name == "checker" else str(old.cells.get("unit", ""))  # there a unit is a tag
                unit = old_column.unit or counted_in
                assert unit in METRIC or unit in BOTH, (table.name, old_column.key, unit)
                if not isinstance(value, int | float | Fraction) or unit in BOTH or old_column.key == "item":
                    assert isinstance(value, str | tuple) or there == value, (table.name, old_column.key)
                    continue
                new_unit = new_column.unit or str(new.cells["unit"])
                assert new_unit == METRIC[unit].unit
                step = 0 if isinstance(value, Fraction) else 0.5 * 10 ** -METRIC[unit].places
                exact = value.exact if isinstance(value, Rounded) else float(value)
                assert there == pytest.approx(by_pint(exact, unit, new_unit), rel=1e-9, abs=step + 1e-9)
                compared[unit] += 1
    assert {unit for unit in ("in", "ft-in", "ft", "lb") if compared[unit] >= 20} == {"in", "ft-in", "ft", "lb"}


def test_every_size_is_the_dn_of_its_nps() -> None:
    compared = 0
    for table in tables():
        for old, new in zip(table.rows, in_metric(table).rows, strict=True):
            size = old.cells.get("size")
            if not isinstance(size, str) or not size:
                continue
            bolts = " UNC" in str(old.cells.get("description"))
            parts = [find_size(part) for part in size.split(" x ")]
            if bolts or not all(parts):
                assert new.cells["size"] == size
            else:
                assert new.cells["size"] == "DN " + " x ".join(str(part.dn) for part in parts if part)
                compared += 1
    assert compared > 100


_OLD = re.compile(r"([\d,./-]+) (lb|psi|gal|gpm|degF|ft/s)(?![/\w])")
_NEW = re.compile(r"(-?[\d.]+) (kg|bar|L|L/s|degC|m/s)(?![/\w])")


def test_quantities_inside_texts_row_by_row() -> None:
    compared = 0
    for table in tables():
        metric = in_metric(table)
        pairs = [
            (old.cells.get(column.key), new.cells.get(column.key))
            for column in table.columns
            for old, new in zip(table.rows, metric.rows, strict=True)
        ]
        for old_text, new_text in [*pairs, *zip(table.notes, metric.notes, strict=False)]:
            if not isinstance(old_text, str) or "`" in old_text or not isinstance(new_text, str):
                continue
            before, after = _OLD.findall(old_text), _NEW.findall(new_text)
            assert len(before) == len(after), (old_text, new_text)
            for (number, unit), (there, new_unit) in zip(before, after, strict=True):
                value = float(number.replace(",", ""))
                assert float(there) == pytest.approx(by_pint(value, unit, new_unit), rel=6e-3, abs=0.05)
                compared += 1
    assert compared > 50


@pytest.mark.parametrize(
    ("text", "metric"),
    [
        ("187.5 psi, 1.5 x design", "12.928 bar, 1.5 x design"),
        ("1,100 psi", "75.84 bar"),
        ("from 42 to 90 degF", "from 5.56 to 32.2 degC"),
        ("-5 degF", "-20.6 degC"),
        ("GA-*-R-PRE-04: 2 of 5 ft 8 in", "GA-*-R-PRE-04: 2 of 1727 mm"),
        ("root face 1/16 in, gap 1/8 in", "root face 1.59 mm, gap 3.18 mm"),
        ("falls 1/16 in per ft; 1/8 in are the least", "falls 5.21 mm/m; 3.18 mm are the least"),
        ("such as `9 ft above floor`", "such as `9 ft above floor`"),
        ("5 in GA-1; 4 in GA-2 and 3 more", "5 in GA-1; 4 in GA-2 and 3 more"),
        ("at least 0 lb", "at least 0 kg"),
        ("size 2 at 4.2 ft/s, 44 gpm", "size 2 at 1.28 m/s, 2.78 L/s"),
        ("3 in wg", "747 Pa"),
        ("class 150, NPS 4 steel, 5/8-11 UNC", "class 150, NPS 4 steel, 5/8-11 UNC"),
    ],
)
def test_words(text: str, metric: str) -> None:
    assert in_words(text) == metric


def test_unit_cells_names_of_things_and_unknowns() -> None:
    table = Table(
        "bill",
        "Bill",
        (
            Column("item", "Item"),
            Column("size", "Size"),
            Column("description", "Description"),
            Column("each", "Per unit", align="right"),
            Column("total", "Total", align="right"),
            Column("unit", "Unit"),
            Column("cut", "Cut", "ft-in"),
        ),
        (
            Row({"item": 1, "size": "4", "description": "pipe", "each": 10, "total": 100, "unit": "ft"}, HERE),
            Row({"item": 2, "size": "4", "description": "pipe", "each": "A-1: 10; A-2: 2.5", "unit": "ft"}, HERE),
            Row({"item": 3, "size": "5/8", "description": "stud, 5/8-11 UNC x 3-1/2 in", "total": 8}, HERE),
            Row({"item": 4, "size": "4 x 3/4", "cut": NOT_MEASURED, "total": 8, "unit": "pieces"}, HERE),
            Row({"item": 5, "cut": Fraction(29, 2)}, HERE),
        ),
    )
    metric = in_metric(table)
    assert [row.cells for row in metric.rows] == [
        {"item": 1, "size": "DN 100", "description": "pipe", "each": 3.048, "total": 30.48, "unit": "m"},
        {"item": 2, "size": "DN 100", "description": "pipe", "each": "A-1: 3.048; A-2: 0.762", "unit": "m"},
        {"item": 3, "size": "5/8", "description": "stud, 5/8-11 UNC x 3-1/2 in", "total": 8},
        {"item": 4, "size": "DN 100 x 20", "cut": NOT_MEASURED, "total": 8, "unit": "pieces"},
        {"item": 5, "cut": 368.3},
    ]
    assert metric.columns[-1] == Column("cut", "Cut", "mm")
    assert any("inch sizes" in note for note in metric.notes) and any("DN" in note for note in metric.notes)
    assert [row.origin for row in metric.rows] == [row.origin for row in table.rows]


def test_what_was_rounded_for_print_is_converted_as_it_was() -> None:
    """22.9206 gal are 86.764 L (x 3.785411784), though 22.9 gal are 86.686 L; 0.35 gal are 1.325 L, not 1.514."""
    table = Table(
        "charge-to-buy",
        "Glycol",
        (Column("each", "Per unit", "gal"), Column("total", "Volume", "gal"), Column("extra", "Spare", "gal")),
        (
            Row(
                {
                    "each": PerUnit("AHU-1: 22.92; AHU-2: 7", (22.9206, 7)),
                    "total": Rounded(22.9206, 1),
                    "extra": Rounded(0.35, 1),
                },
                HERE,
            ),
        ),
    )
    assert table.rows[0].cells["total"] == 22.9
    assert in_metric(table).rows[0].cells == {"each": "AHU-1: 86.764; AHU-2: 26.498", "total": 86.764, "extra": 1.325}
    assert '"total": 22.9' in render([Result("f", (), {}, (table,))], "json", Look(findings=False))


@pytest.mark.parametrize(
    ("form", "head"), [("text", "Cut, mm"), ("csv", "cut_mm"), ("md", "Cut, mm"), ("json", '"mm"')]
)
def test_headings_name_the_new_unit(form: str, head: str) -> None:
    table = Table("cuts", "Cuts", (Column("cut", "Cut", "ft-in"),), (Row({"cut": Fraction(29, 2)}, HERE),))
    shown = render([Result("f", (), {}, (table,))], form, Look(units="metric", findings=False))  # type: ignore[arg-type]
    assert isinstance(shown, str)
    assert head in shown and "368.3" in shown and "14.5" not in shown
