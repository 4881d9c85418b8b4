"""Which list stands in which chapter of a pack, and which are sheets to sign, one a unit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from ..model.table import Column, Table
from ..takeoff import LISTS
from ..takeoff.by_unit import by_unit

#: The chapters of lists, in the order of the work. A list that none names comes last, in one of its own.
CHAPTERS: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("order", "To order", ("bill", "stock-to-buy", "bolting", "filler", "consumables", "charge-to-buy")),
    ("schedules", "Schedules", ("coils", "valves", "instruments", "hands")),
    ("shop", "In the shop", ("cuts", "stock", "spools", "spool-pieces", "welds", "weld-totals", "closing")),
    (
        "site",
        "On site",
        (
            *("penetrations", "hangers", "weights", "nozzle-loads", "joints", "made-up-joints"),
            *("condensate", "charge", "insulation", "heat-trace"),
        ),
    ),
    ("running", "Lineups", ("lineups", "standing", "separation")),
)
SIGNED = ("sign", "Sheets to sign")
OTHERS = ("others", "Further lists")

#: The sheets to sign: what is written in by hand in each row.
_BY_HAND: dict[str, tuple[tuple[str, str], ...]] = {
    "positions": (("found", "Found"), ("set_by", "Set by")),
    "changeover": (("done_by", "Done by"), ("time", "Time")),
    "pressure-test": (("reading", "Reading"), ("done_by", "Done by"), ("time", "Time")),
    "drain-and-fill": (("done_by", "Done by"), ("time", "Time")),
    "lockout": (("lock", "Lock no."), ("done_by", "Done by"), ("time", "Time")),
    "tags": (("hung_by", "Hung by"), ("on", "Date")),
}
#: Who signs such a sheet.
SIGNATURES = ("Done by", "Checked by", "Witnessed by")


def lists_by_chapter() -> list[tuple[str, str, tuple[str, ...]]]:
    """Key, title and lists of every chapter; each list once, the sheets to sign behind the others."""
    named = {name for *_, names in CHAPTERS for name in names} | set(_BY_HAND)
    rest = tuple(name for name in LISTS if name not in named)
    return [*CHAPTERS, *([(*OTHERS, rest)] if rest else []), (*SIGNED, tuple(_BY_HAND))]


def is_signed(name: str) -> bool:
    """Whether a list is a sheet to sign."""
    return name in _BY_HAND


#: The log that is kept of the weld list: what a welder needs of it, and columns to write in.
WELD_LOG = "weld-log"
_LOGGED = ("weld", "line", "kind", "size", "schedule", "made", "between", "spool", "welder", "heat", "date")


def for_reading(table: Table) -> Table:
    """A list without the columns to write in, which are in its log."""
    return replace(table, columns=tuple(column for column in table.columns if not column.by_hand))


def logs(tables: Iterable[Table]) -> Iterator[Table]:
    """The sheets to sign that are made of lists in other chapters."""
    for table in tables:
        if table.name == "welds":
            keys = {"units", "count", *_LOGGED}
            columns = tuple(column for column in table.columns if column.key in keys)
            note = "A weld has the same number in the weld list, on the sheets of the spools and in the isometrics."
            yield replace(table, name=WELD_LOG, title="Weld log", columns=columns, notes=(note,))


@dataclass(frozen=True, slots=True)
class SignedSheet:
    """A sheet to sign. `unit`: whose it is; empty: of no single unit. `blank`: the unit is written in by hand."""

    table: Table
    unit: str
    blank: bool

    @property
    def title(self) -> str:
        """The list's title with the unit's tag."""
        return f"{self.table.title}: {self.unit}" if self.unit else self.table.title


def signed_sheets(table: Table) -> Iterator[SignedSheet]:
    """The sheets of a list to sign: one for each unit; of many built alike one, in which the unit is written in."""
    columns = tuple(Column(key, title, by_hand=True) for key, title in _BY_HAND.get(table.name, ()))
    for lot in by_unit(table):
        notes = table.notes
        if lot.alike:
            notes = (
                f"One sheet for {len(lot.units)} units built alike: {', '.join(lot.units)}. Copy it for each unit and "
                "write its tag on top; a `*` in a tag stands for the unit's number. "
                f"`lists/{table.name}-by-unit.csv` has a row for each unit.",
                *notes,
            )
        shown = tuple(c for c in table.columns if not (lot.units and c.key in ("units", "count")))
        sheet = replace(table, columns=(*shown, *columns), rows=lot.rows, notes=notes)
        yield SignedSheet(sheet, lot.units[0] if len(lot.units) == 1 else "", lot.alike)
