"""Every list of every example, compiled once for all tests of formats."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import coilwright
from coilwright.model.table import Table
from coilwright.report.result import Result
from coilwright.takeoff import LISTS

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.hookup"))


@cache
def result(example: Path) -> Result:
    """All lists and the checker's sheets of one example, with its findings."""
    made = coilwright.compile_file(str(example))
    return Result(example.name, made.findings, made.sources, (*made.tables(list(LISTS)), *made.sheets()))


def tables() -> list[Table]:
    return [table for example in EXAMPLES for table in result(example).tables]
