"""What is bought by the pack: how many packs hold what is needed and what is spare. Net counts stay as they are."""

from __future__ import annotations

from collections.abc import Iterable

from ..model.declared import Pack, TakeoffSettings
from ..model.table import Column, Row, Value

#: Columns that a list gets where the file says how things are bought.
PACK_COLUMNS = (Column("packs", "To buy", align="right"), Column("packed", "In"))
#: How a row of the bill begins, and what it may be declared as: the narrower word stands before the wider one.
_NAMES = (
    ("gaskets", "gasket ", ("gaskets",)),
    ("bolting", "stud,", ("studs", "bolts")),
    ("bolting", "machine bolt,", ("machine bolts", "bolts")),
    ("bolting", "cap screw,", ("cap screws", "bolts")),
    ("bolting", "heavy hex nut,", ("nuts",)),
    ("fittings", "grooved coupling ", ("couplings",)),
)


def pack_of(group: str, description: str, settings: TakeoffSettings) -> Pack | None:
    """How a thing of the bill is bought; None where the file does not say."""
    for its_group, start, words in _NAMES:
        if group == its_group and description.startswith(start):
            return next((settings.packs[word] for word in words if word in settings.packs), None)
    return None


def pack_cells(pack: Pack | None, amount: float) -> dict[str, Value]:
    """The cells of `PACK_COLUMNS` for an amount with its spares; empty without a pack."""
    return {} if pack is None else {"packs": pack.needed(amount), "packed": str(pack)}


def with_packs(columns: tuple[Column, ...], rows: Iterable[Row]) -> tuple[Column, ...]:
    """The columns of a list, with those of packs where one of its rows is bought so."""
    return (*columns, *PACK_COLUMNS) if any("packs" in row.cells for row in rows) else columns
