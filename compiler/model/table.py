"""A list on its way to paper: columns, rows, and where each row came from. Renderers read this and nothing else."""

from __future__ import annotations

import enum
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from .span import Origin


class Unknown(enum.Enum):
    """What is printed where a value is not known; never 0, never a guess."""

    NOT_MEASURED = "not measured"
    NOT_IN_TABLES = "not in the tables"
    NO_PRICE = "no price"
    NO_HOURS = "no hours"
    NO_ROOM = "no room"
    NOT_SAID = "not said"

    def __str__(self) -> str:
        return self.value


NOT_MEASURED = Unknown.NOT_MEASURED
NOT_IN_TABLES = Unknown.NOT_IN_TABLES
NO_PRICE = Unknown.NO_PRICE
NO_HOURS = Unknown.NO_HOURS
NO_ROOM = Unknown.NO_ROOM
NOT_SAID = Unknown.NOT_SAID

#: A cell. Lengths are Fractions of an inch where the column's unit is "in"; a tuple is a list of tags; None is empty.
Value = str | int | float | Fraction | Unknown | tuple[str, ...] | None


@dataclass(frozen=True, slots=True)
class Column:
    """`key` is the name in CSV and JSON (snake case), `title` the heading on paper, `unit` what numbers are in.

    `by_hand`: left empty to be written in on paper, so that it is printed empty as well.
    `data_only`: names for programs, left out on paper; CSV, JSON and workbooks carry it.
    `adds_up`: the numbers may be added up down the column: all of one kind, no row that is the sum of others.
    `formula`: how a number follows from others of its row, keys and signs with blanks between: `total + extra`,
    `quantity * price / scale`. A workbook writes it where it gives what the cell holds.
    Nominal sizes stand as text in columns called `size`; names of things as they are bought in `description`.
    """

    key: str
    title: str
    unit: str = ""
    align: Literal["left", "right"] = "left"
    by_hand: bool = False
    data_only: bool = False
    adds_up: bool = False
    formula: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One row: a cell for every column of its table (missing keys are empty), the lines that made it, and why.

    `units`: tag and number of each unit that is built so, where the row is about one of them; a `*` in its cells
    stands for the number.
    """

    cells: dict[str, Value]
    origin: Origin
    why: str = ""
    units: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """One list. `name` is its key (`bill`), `notes` are printed under it."""

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    notes: tuple[str, ...] = ()
