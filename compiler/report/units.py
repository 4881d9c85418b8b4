"""Lists in metric units: mm, m, kg, bar, L, degrees C, nominal sizes as DN. The lists themselves know nothing of it.

Factors follow from the exact inch, pound and US gallon, standard gravity and the foot of water's inch at 39.2 degF
(NIST SP 811, 2008, appendix B); a test holds them equal to pint's.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from ..model.rounded import PerUnit, Rounded
from ..model.size import find_size
from ..model.table import Column, Row, Table, Value

Units = Literal["inch-pound", "metric"]

_INCH = Fraction("25.4")
_FOOT = 12 * _INCH / 1000
_POUND = Fraction("0.45359237")
_BAR_A_PSI = _POUND * Fraction("9.80665") / (_INCH / 1000) ** 2 / 10**5
_LITRE_A_GALLON = 231 * (_INCH / 100) ** 3


@dataclass(frozen=True, slots=True)
class Metric:
    """What a unit becomes: the new unit, how many of it one of the old is, where its zero lies, decimals of a float."""

    unit: str
    scale: Fraction
    zero: Fraction = Fraction(0)
    places: int = 3

    def __call__(self, value: int | float | Fraction) -> float:
        """A Fraction is exact and stays so; a float is rounded to `places`, from what it was before it was rounded."""
        exact = self.zero + self.scale * Fraction(value.exact if isinstance(value, Rounded) else value)
        return float(exact) if isinstance(value, Fraction) else round(float(exact), self.places)


#: Every unit of a column or of a `unit` cell that has a metric one; others (pieces, W, min) mean the same in both.
METRIC: dict[str, Metric] = {
    "in": Metric("mm", _INCH, places=2),
    "ft-in": Metric("mm", _INCH, places=2),
    "ft": Metric("m", _FOOT),
    "sq in": Metric("cm2", (_INCH / 10) ** 2, places=2),
    "sq ft": Metric("m2", _FOOT**2),
    "cu ft": Metric("m3", _FOOT**3, places=4),
    "lb": Metric("kg", _POUND),
    "lb/ft": Metric("kg/m", _POUND / _FOOT),
    "psi": Metric("bar", _BAR_A_PSI),
    "gal": Metric("L", _LITRE_A_GALLON),
    "gpm": Metric("L/s", _LITRE_A_GALLON / 60, places=4),
    "degF": Metric("degC", Fraction(5, 9), Fraction(-160, 9), places=2),
    "ft/s": Metric("m/s", _FOOT),
    "in/ft": Metric("mm/m", _INCH / _FOOT, places=2),
    "W/ft": Metric("W/m", 1 / _FOOT, places=2),
    "inwg": Metric("Pa", Fraction("249.08891"), places=1),
}

#: Columns whose texts are names of things as they are bought: a 5/8-11 UNC x 3-1/2 in stud is asked for in inches.
AS_BOUGHT = frozenset(
    {"description", "gasket", "bolt", "piece", "name", "standard", "between", "fitting", "per", "as_is"}
)
#: Columns that hold nominal sizes, except in the rows of bolts.
SIZES = frozenset({"size", "sizes", "outlet", "sleeve", "size_before", "size_after"})
#: Numbers of these columns number the rows and are in no unit, whatever the row's `unit` says.
_ORDINALS = frozenset({"item", "row", "step", "joint", "count", "straight", "packs"})

_NOTE = "Metric values are converted, not chosen: 25.4 mm is 1 in, not the nearest metric product."
_NOTE_BOUGHT = "Descriptions keep the inch sizes that the things are bought by."
_NOTE_DN = "Sizes are DN for NPS (ASME B36.10M); bolts keep inches."

_NUMBER = r"(?:\d[\d,]*(?:\.\d+)?(?:-\d+/\d+|/\d+)?)"
_WORDS = {" per ft": "/ft", "in wg": "inwg"}
#: What follows a length: `3 in wide`, but not `3 in GA-1`, which is no length.
_AFTER_INCHES = (
    r"(?=\Z|[,;:.)]| (?:wide|high|deep|long|thick|at|of|above|below|off|holes|into|to|are|is|where|and|or|more|less"
    r"|over|needs|needed|from|per)\b)"
)
_QUANTITY = re.compile(
    rf"(?<![\w/.,-])(?:(?P<feet>{_NUMBER}) ft(?: (?P<inches>{_NUMBER}) in)?(?![/\w-]| per\b)"
    rf"|(?P<first>-?{_NUMBER})(?:(?P<to> to | x )(?P<last>-?{_NUMBER}))? "
    r"(?P<unit>(?:in per ft|in/ft|in wg|inwg|lb per ft|lb/ft|lb|psi|gal|gpm|degF|ft/s|W per ft|W/ft|sq ft|cu ft|sq in)"
    rf"(?![/\w-]| per ft\b)|in{_AFTER_INCHES}))"
)
_CODE = re.compile(r"(`[^`]*`)")
_IN_UNITS = re.compile(r"(?<=: )\d[\d.]*(?=;|\Z)")


def in_metric(table: Table) -> Table:
    """The same list in metric units. Unknown values, counts and texts without a quantity stay as they are."""
    rows = tuple(_row(row, table.columns) for row in table.rows)
    changed = [
        column
        for column in table.columns
        if any(
            new.cells.get(column.key) != row.cells.get(column.key) for new, row in zip(rows, table.rows, strict=True)
        )
    ]
    notes = [in_words(note) for note in table.notes]
    if any(column.key not in SIZES for column in changed):
        notes.append(_NOTE)
    if any(column.key in SIZES for column in changed):
        notes.append(_NOTE_DN)
    if any(_QUANTITY.search(str(row.cells.get(key) or "")) for row in rows for key in AS_BOUGHT):
        notes.append(_NOTE_BOUGHT)
    return replace(table, columns=tuple(map(_column, table.columns)), rows=rows, notes=tuple(notes))


@lru_cache(maxsize=10_000)
def in_words(text: str) -> str:
    """A text with its quantities in metric, no coarser than they were; what stands in backticks is code and stays.

    >>> in_words("at least 169 lb, from 42 to 90 degF, 2 of 5 ft 8 in")
    'at least 76.7 kg, from 5.6 to 32.2 degC, 2 of 1727 mm'
    """
    return "".join(
        part if index % 2 else _QUANTITY.sub(_quantity, part) for index, part in enumerate(_CODE.split(text))
    )


def dn(text: str) -> str:
    """A nominal size as DN; a text that is no NPS, or not all of it, stays as it is.

    >>> dn("4 x 2-1/2"), dn("5/8-11 UNC")
    ('DN 100 x 65', '5/8-11 UNC')
    """
    found = [find_size(part) for part in text.split(" x ")]
    return "DN " + " x ".join(str(size.dn) for size in found if size) if all(found) else text


def _column(column: Column) -> Column:
    metric = METRIC.get(column.unit)
    if metric is None:
        return column
    key = column.key.removesuffix(f"_{column.unit}")
    return replace(column, key=column.key if key == column.key else f"{key}_{metric.unit}", unit=metric.unit)


def _row(row: Row, columns: tuple[Column, ...]) -> Row:
    counted_in = METRIC.get(str(row.cells.get("unit")))
    bolt = _is_bolting(row)
    cells: dict[str, Value] = dict(row.cells)
    for column in columns:
        value = row.cells.get(column.key)
        metric = METRIC.get(column.unit)
        if metric is None and not column.unit and column.key not in _ORDINALS:
            metric = counted_in
        if column.key == "unit" and counted_in:
            cells[column.key] = counted_in.unit
        elif isinstance(value, PerUnit) and metric is not None:
            cells[column.key] = _per_unit(value, metric)
        elif isinstance(value, str | tuple):
            change = _change(column, metric, bolt)
            cells[column.key] = change(value) if isinstance(value, str) else tuple(map(change, value))
        elif metric is not None and isinstance(value, int | float | Fraction):
            cells[column.key] = metric(value)
    return replace(row, cells=cells)


def _change(column: Column, metric: Metric | None, bolt: bool) -> Callable[[str], str]:
    """What is done to a column's texts."""
    if column.key in SIZES:
        return str if bolt else dn
    if column.key in AS_BOUGHT:
        return str
    if column.key == "each":  # `GA-1: 9.41; GA-2: 8`: how many each of which units has
        return (lambda text: _IN_UNITS.sub(lambda m: _short(metric(float(m[0])), 3), text)) if metric else str
    return in_words


def _per_unit(text: PerUnit, metric: Metric) -> str:
    """How many in which units: `AHU-1: 0.5; GA-2: 1.25`."""
    numbers = iter(text.numbers)
    return _IN_UNITS.sub(lambda _: _short(metric(next(numbers)), 3), text)


def _is_bolting(row: Row) -> bool:
    """Whether a row is about bolts, whose size is a thread's."""
    return row.cells.get("group") == "bolting" or " UNC" in str(row.cells.get("description", ""))


def _quantity(match: re.Match[str]) -> str:
    if match["feet"]:
        inches = 12 * _read(match["feet"]) + (_read(match["inches"]) if match["inches"] else 0)
        return _length(inches)
    unit = match["unit"]
    for words, short in _WORDS.items():
        unit = unit.replace(words, short)
    texts = [match["first"], *([match["last"]] if match["last"] else [])]
    if unit == "in":
        *before, last = (_length(_read(text)) for text in texts)
        return "".join(length.removesuffix(" mm") + match["to"] for length in before) + last
    metric = METRIC[unit]
    values = [metric.zero + metric.scale * _read(text) for text in texts]
    said = [_short(value, _places(value, text, metric)) for value, text in zip(values, texts, strict=True)]
    return (match["to"] or "").join(said) + f" {metric.unit}"


def _length(inches: Fraction) -> str:
    """Millimetres, to three figures and never coarser than a millimetre."""
    mm = inches * _INCH
    return f"{_short(mm, 0 if mm >= 100 else 1 if mm >= 10 else 2)} mm"


def _places(value: Fraction, text: str, metric: Metric) -> int:
    """The decimals that give three figures and are no coarser than the step of the old text's last figure."""
    step = float(metric.scale) / 10 ** len(text.partition(".")[2])
    figures = 2 - math.floor(math.log10(abs(value))) if value else 0
    return min(max(figures, math.ceil(-math.log10(step)), 0), 4)


def _read(text: str) -> Fraction:
    sign, text = (-1, text[1:]) if text.startswith("-") else (1, text)
    whole, _, part = text.replace(",", "").rpartition("-")
    return sign * (Fraction(whole or 0) + Fraction(part))


def _short(value: Fraction | float, places: int) -> str:
    text = f"{float(round(Fraction(value), places)):.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
