"""Lists as plain data for JSON."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from ..model.table import Table, Unknown, Value
from .values import as_text


def as_data(table: Table) -> dict[str, Any]:
    """One list.

    key      holds
    name     its key, `bill`
    title    its heading on paper
    columns  a list of {"key", "title", "unit"}; `unit` is what numbers are in, empty for counts and text
    rows     a list of {"row", "cells", "origin", "why"}: `row` is what `coilwright why` takes (`bill:12`), `cells` has
             a value for every column's key, `origin` the lines behind it as `file:line:column`, `why` the reason
    notes    what is printed below

    A cell is a text, a number, a list of tags, null where it is empty, or {"value", "text"}: for a length the number
    and how it is read off a tape (3.5, `3-1/2`), for an unknown one null and its words (null, `not measured`).
    """
    return {
        "name": table.name,
        "title": table.title,
        "columns": [
            {"key": c.key, "title": c.title, "unit": "in" if c.unit == "ft-in" else c.unit} for c in table.columns
        ],
        "rows": [
            {
                "row": f"{table.name}:{number}",
                "cells": {c.key: _cell(row.cells.get(c.key), c.unit) for c in table.columns},
                "origin": [str(span) for span in row.origin],
                "why": row.why,
            }
            for number, row in enumerate(table.rows, 1)
        ],
        "notes": list(table.notes),
    }


def _cell(value: Value, unit: str) -> Any:
    if isinstance(value, Fraction):
        return {"value": float(value), "text": as_text(value, unit)}
    if isinstance(value, Unknown):
        return {"value": None, "text": str(value)}
    return list(value) if isinstance(value, tuple) else value
