"""Which list stands in which chapter of a pack, and which are sheets to sign."""

from __future__ import annotations

from dataclasses import replace

from ..model.table import Column, Table
from ..takeoff import LISTS

#: The chapters of lists, in the order of the work. A list that none names comes last, in one of its own.
CHAPTERS: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("order", "To order", ("bill", "bolting", "stock-to-buy", "filler", "consumables", "charge-to-buy")),
    ("schedules", "Schedules", ("coils", "valves", "instruments", "hands")),
    ("shop", "In the shop", ("cuts", "stock", "closing", "spools", "spool-pieces", "welds", "weld-totals")),
    (
        "site",
        "On site",
        (
            *("joints", "made-up-joints", "hangers", "penetrations", "weights", "nozzle-loads"),
            *("insulation", "heat-trace", "condensate", "charge"),
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


def to_sign(table: Table) -> Table:
    """A sheet to sign with its columns to write in; another list as it is."""
    columns = tuple(Column(key, title, by_hand=True) for key, title in _BY_HAND.get(table.name, ()))
    return replace(table, columns=(*table.columns, *columns))
