"""All that comes out of a run, in one format and one system of units: findings, lists and the sum, in this order."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import PurePath
from typing import Any, Literal

from ..model.table import Table
from ..version import __version__
from .colour import Paint, no_paint
from .result import Result, count, sum_line, titled_tables
from .tables_text import PAPER
from .units import Units, in_metric

Format = Literal["text", "csv", "json", "md", "xlsx"]

#: The formats, each with the endings of file names that mean it; the first is the one we give.
FORMATS: dict[Format, tuple[str, ...]] = {
    "text": (".txt", ".text"),
    "csv": (".csv",),
    "json": (".json",),
    "md": (".md", ".markdown"),
    "xlsx": (".xlsx",),
}

#: The number of the JSON form, which docs/output.schema.json describes. A key that goes, or means something else,
#: raises it; a new key does not.
JSON_FORM = 1


@dataclass(frozen=True, slots=True)
class Look:
    """What the page allows: its width in characters, colour, the units, and whether findings and the sum are shown."""

    columns: int = PAPER
    paint: Paint = no_paint
    findings: bool = True
    sum: bool = True
    units: Units = "inch-pound"


def render(results: Sequence[Result], form: Format, look: Look | None = None) -> str | bytes:
    """The whole document: bytes of a workbook, text of all others. JSON always carries findings and counts.

    Findings speak in the units of the file, whatever the lists are in.
    """
    look = look or Look()
    if look.units == "metric":
        results = [replace(result, tables=tuple(map(in_metric, result.tables))) for result in results]
    if form == "json":
        return _json(results, look)
    if form == "csv":
        from . import tables_csv

        return tables_csv.render([*_told(results, look), *titled_tables(results)])
    if form == "xlsx":
        return _xlsx(results, look)
    return _text(results, look) if form == "text" else _md(results, look)


def _told(results: Sequence[Result], look: Look) -> list[Table]:
    """The findings as a list, where they are shown."""
    from . import findings_csv

    return [findings_csv.as_table(f for r in results for f in r.findings)] if look.findings else []


def _xlsx(results: Sequence[Result], look: Look) -> bytes:
    from . import workbook

    names = [
        table.name if len(results) == 1 or result.of_job else f"{table.name} {PurePath(result.file).stem}"
        for result in results
        for table in result.tables
    ]
    told = [(table.name, table) for table in _told(results, look)]
    return workbook.render([*told, *zip(names, titled_tables(results), strict=True)], look.units == "metric")


def _text(results: Sequence[Result], look: Look) -> str:
    from . import findings_text, tables_text

    parts = [findings_text.render(r.findings, r.sources, look.paint) for r in results] if look.findings else []
    parts.append(tables_text.render(titled_tables(results), look.columns))
    if look.sum:
        parts.append(sum_line(results) + "\n")
    return "\n".join(part for part in parts if part)


def _md(results: Sequence[Result], look: Look) -> str:
    from . import findings_md, tables_md

    parts = []
    if look.findings:
        found = [findings_md.render(r.findings, r.sources) for r in results]
        parts += ["## Findings\n", *found] if any(found) else []
    parts.append(tables_md.render(titled_tables(results)))
    if look.sum:
        parts.append(f"{sum_line(results)}\n")
    return "\n".join(part for part in parts if part)


def _json(results: Sequence[Result], look: Look) -> str:
    """A JSON object.

    key         holds
    coilwright  the version that wrote it
    form        `JSON_FORM`
    units       what the lists are in: `inch-pound` or `metric`
    count       how many findings of each severity
    job         with several files their lists together: {"name", "tables"}
    files       a list of {"file", "findings", "tables"}, see `findings_json` and `tables_json`
    """
    from . import findings_json, tables_json

    files = [
        {
            "file": result.file,
            "findings": [findings_json.as_data(finding) for finding in result.findings],
            "tables": [tables_json.as_data(table) for table in result.tables],
        }
        for result in results
        if not result.of_job
    ]
    jobs = [
        {"name": result.file, "tables": [tables_json.as_data(table) for table in result.tables]}
        for result in results
        if result.of_job
    ]
    job = {"job": jobs[0]} if jobs else {}
    return as_json({"units": look.units, "count": count(results), **job, "files": files})


def as_json(data: dict[str, Any]) -> str:
    """Our JSON: who wrote it, in which form, then the data; two blanks a level, keys in the order they were made."""
    head = {"coilwright": __version__, "form": JSON_FORM}
    return json.dumps({**head, **data}, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
