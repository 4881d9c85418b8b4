"""A purchase as a spreadsheet gives it: `group, size, description, quantity, unit`, one thing a row."""

from __future__ import annotations

import csv
import io
import math
import re
from dataclasses import dataclass, field

from ..model.span import Span

#: The columns, with other headings that people give them. The first two are needed.
COLUMNS: dict[str, tuple[str, ...]] = {
    "description": ("description", "item", "what", "name"),
    "quantity": ("quantity", "qty", "count", "total", "bought"),
    "group": ("group",),
    "size": ("size", "nps"),
    "unit": ("unit", "units", "uom"),
}
NEEDED = ("description", "quantity")
#: More rows than this are no purchase of one job.
MOST_ROWS = 200_000

_SIGNS = ";\t,"


@dataclass(frozen=True, slots=True)
class Bought:
    """One row. Empty texts where the purchase does not say."""

    description: str
    quantity: float
    group: str
    size: str
    unit: str
    span: Span


@dataclass(frozen=True, slots=True)
class NotRead:
    """A row that cannot be used, as it stands, and why."""

    text: str
    why: str
    span: Span


@dataclass(slots=True)
class Purchase:
    """What was bought. `trouble` is set where nothing could be read."""

    rows: list[Bought] = field(default_factory=list)
    not_read: list[NotRead] = field(default_factory=list)
    missing: tuple[str, ...] = ()  # columns that are not there and can be done without
    trouble: str = ""


def read_purchase(data: bytes, name: str) -> Purchase:
    """Read a CSV file: commas, semicolons or tabs; decimal points or commas; UTF-8, UTF-16 or Windows' encoding.

    Nothing in it is carried out: a cell that begins with `=` is a text. Every row that cannot be used is in `not_read`.
    """
    text = _decoded(data)
    if text is None:
        return Purchase(trouble="is no text in UTF-8, UTF-16 or Windows-1252")
    csv.field_size_limit(1_000_000)
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=False)
    made = Purchase()
    places: dict[str, int] = {}
    try:
        for cells in lines:
            if not any(cell.strip() for cell in cells):
                continue
            span = Span(name, lines.line_num, 1, lines.line_num, 1)
            if not places:
                places = _places(cells)
                lacking = [column for column in NEEDED if column not in places]
                if lacking:
                    words = ", ".join(f"`{cell.strip()}`" for cell in cells if cell.strip())[:200]
                    return Purchase(trouble=f"has no column {' and none '.join(lacking)}; its columns are {words}")
                made.missing = tuple(column for column in COLUMNS if column not in places)
            elif len(made.rows) + len(made.not_read) >= MOST_ROWS:
                return Purchase(trouble=f"has more than {MOST_ROWS:,} rows")
            else:
                _row(cells, places, span, made)
    except csv.Error as error:
        return Purchase(trouble=f"cannot be read as CSV: line {lines.line_num}: {error}")
    return made if places else Purchase(trouble="is empty")


def _row(cells: list[str], places: dict[str, int], span: Span, made: Purchase) -> None:
    values = {column: cells[at].strip() if at < len(cells) else "" for column, at in places.items()}
    quantity = number(values["quantity"])
    why = ""
    if not values["description"]:
        why = "it has no description"
    elif not values["quantity"]:
        why = "it has no quantity"
    elif quantity is None:
        why = f"`{values['quantity']}` is no number"
    elif quantity < 0:
        why = "its quantity is below zero"
    if why or quantity is None:
        made.not_read.append(NotRead(", ".join(cell.strip() for cell in cells if cell.strip()), why, span))
        return
    others = {column: values.get(column, "") for column in ("group", "size", "unit")}
    made.rows.append(Bought(values["description"], quantity, span=span, **others))


def number(text: str) -> float | None:
    """A number with a decimal point or comma, with or without thousands apart; None for what is none.

    One sign with exactly three figures behind it could be either, and is none, unless what stands before it is 0.

    >>> number("1,234.5"), number("1.234,5"), number("12,5"), number("1 200"), number("1,200"), number("=2+2")
    (1234.5, 1234.5, 12.5, 1200.0, None, None)
    """
    text = re.sub(r"(?<=\d)[\s'\u00a0\u202f](?=\d{3})", "", text.strip())
    if not re.fullmatch(r"[-+]?[\d.,]*\d[\d.,]*", text):
        return None
    if "," in text and "." in text:
        decimal = max(",", ".", key=text.rfind)
        text = text.replace("," if decimal == "." else ".", "").replace(decimal, ".")
    elif "," in text:
        if re.fullmatch(r"[-+]?[1-9]\d{0,2},\d{3}", text):
            return None
        text = text.replace(",", "") if re.fullmatch(r"[-+]?\d{1,3}(,\d{3}){2,}", text) else text.replace(",", ".")
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def _places(cells: list[str]) -> dict[str, int]:
    """The columns by the row of headings; a heading that is there twice counts once."""
    heads = [re.sub(r"[^a-z]", "", cell.casefold()) for cell in cells]
    made = {}
    for column, names in COLUMNS.items():
        at = next((heads.index(name) for name in names if name in heads), None)
        if at is not None:
            made[column] = at
    return made


def _delimiter(text: str) -> str:
    """The sign that stands most often in the first line that holds any."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    return max(_SIGNS, key=first.count) if any(sign in first for sign in _SIGNS) else ","


def _decoded(data: bytes) -> str | None:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        codings: tuple[str, ...] = ("utf-16",)
    elif b"\0" in data:
        return None
    else:
        codings = ("utf-8-sig", "cp1252")
    for coding in codings:
        try:
            return data.decode(coding)
        except UnicodeDecodeError:
            continue
    return None
