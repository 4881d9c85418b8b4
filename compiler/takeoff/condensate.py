"""The condensate list: pan outlet, trap and line of each coil, as far as the file declares them."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from ..catalogue.condensate import least_size, trap_depths
from ..catalogue.dimensions import outside
from ..catalogue.limits import limit
from ..model.condensate import Condensate
from ..model.hookup import Hookup
from ..model.table import NOT_MEASURED, Column, Row, Table, Value
from .job import Job
from .naming import in_blocks

_COLUMNS = (
    Column("units", "Units"),
    Column("count", "Units built so", align="right"),
    Column("coil", "Coil"),
    Column("air", "Air"),
    Column("static", "Static at the pan", "inwg", "right"),
    Column("outlet", "Pan outlet"),
    Column("size", "Trap and line"),
    Column("drop", "Least drop", "in", "right"),
    Column("seal", "Least seal", "in", "right"),
    Column("depth", "Depth in all", "in", "right"),
    Column("drop_given", "Drop in the file", "in", "right"),
    Column("seal_given", "Seal in the file", "in", "right"),
    Column("fall", "Least fall", "in/ft", "right"),
    Column("fall_given", "Fall in the file", "in/ft", "right"),
)
_NOTES = (
    "Only coils whose blocks tell of condensate; which others make any is not in the file.",
    "Drawn through: drop = static + 1 in, seal = half the drop; blown through: drop 1/2 in, seal = static + 1/2 in, "
    "with dirty filters (two makers' manuals). Depth in all: drop, seal and the outside of the pipe. One trap a pan.",
    "Size: that of the trap in the file; else that of the outlet and NPS 3/4 at least (UFGS 15895). Fall: 1/8 in per "
    "ft at least (three makers' manuals, IMC 307.2 from memory).",
    "The line behind the trap is not in the file: its pipe is on no list.",
)


def condensate(job: Job) -> Table:
    """A row a coil that declares condensate, in every distinct hookup, then the traps of all units by size."""
    made = list(in_blocks(job.hookups, lambda hookup: list(_rows(hookup)), counted=True))
    total: dict[str, list[Row]] = {}
    for row in made:
        total.setdefault(str(row.cells["size"]), []).append(row)
    for size, rows in total.items():
        count = sum(number for row in rows if isinstance(number := row.cells["count"], int))
        cells: dict[str, Value] = {"units": "all units", "count": count, "coil": "traps", "size": size}
        made.append(Row(cells, tuple(dict.fromkeys(s for row in rows for s in row.origin)), "one for each coil above"))
    return Table("condensate", "Condensate drains", _COLUMNS, tuple(made), _NOTES if made else ())


def _rows(hookup: Hookup) -> Iterator[Row]:
    for tag, facts in hookup.coils.items():
        said = facts.condensate
        if said is not None:
            yield Row(
                {"coil": tag, **_cells(said)}, tuple(said.places.values()), "the lines on condensate in its block"
            )


def _cells(said: Condensate) -> dict[str, Value]:
    size = said.trap or least_size(said.outlet)
    cells: dict[str, Value] = {
        "air": {True: "drawn through", False: "blown through", None: "not said"}[said.draws],
        "static": NOT_MEASURED if said.static_inwg is None else said.static_inwg,
        "outlet": said.outlet.label if said.outlet is not None else "not said",
        "size": size.label if size is not None else "not said",
        "drop": NOT_MEASURED,
        "seal": NOT_MEASURED,
        "depth": NOT_MEASURED,
        "drop_given": said.drop_in,
        "seal_given": said.seal_in,
        "fall": limit("condensate slope"),
        "fall_given": said.pitch,
    }
    if said.draws is not None and said.static_inwg is not None:
        drop, seal = trap_depths(said.static_inwg, draws=said.draws)
        cells |= {"drop": drop, "seal": seal}
        pipe: Fraction | None = outside(size, "carbon steel") if size is not None else None
        if pipe is not None:
            cells["depth"] = drop + seal + pipe
    return cells
