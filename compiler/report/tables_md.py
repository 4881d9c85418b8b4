"""Lists as Markdown tables."""

from __future__ import annotations

from collections.abc import Sequence

from ..model.table import Table
from .markdown import escape
from .sums import sum_row
from .tables_text import heading, used_columns
from .values import as_text


def render(tables: Sequence[Table]) -> str:
    """All lists, each under a heading, its notes below."""
    return "\n".join(_one(table) for table in tables)


def _one(table: Table) -> str:
    lines = [f"## {escape(table.title)}", ""]
    columns = used_columns(table)
    if table.rows:
        lines.append(_row([heading(c) for c in columns]))
        lines.append("|" + "|".join("---:" if c.align == "right" else "---" for c in columns) + "|")
        lines.extend(_row([as_text(row.cells.get(c.key), c.unit) for c in columns]) for row in table.rows)
        if sums := sum_row(table, columns):
            lines.append(_row(sums))
    else:
        lines.append("This list has no rows.")
    for note in table.notes:
        lines += ["", escape(note)]
    return "\n".join(lines) + "\n"


def _row(cells: Sequence[str]) -> str:
    return "| " + " | ".join(escape(cell) for cell in cells) + " |"
