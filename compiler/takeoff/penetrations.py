"""The penetration list: every hole through a floor or wall, and how many of each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from ..catalogue.dimensions import outside
from ..catalogue.penetrations import hole_for, saw_for, sleeve_for
from ..model.hookup import Component, Hookup, Move, Place
from ..model.measured import Straight, Vector
from ..model.table import NOT_IN_TABLES, NOT_MEASURED, Column, Row, Table, Unknown, Value
from ..passes.geometry import unit_vector
from .job import Job
from .naming import in_blocks
from .tally import Tally, trimmed

_COLUMNS = (
    Column("units", "Units"),
    Column("plate", "Through"),
    Column("hole", "Hole"),
    Column("line", "Line"),
    Column("at", "Along its run", "ft-in", "right"),
    Column("size", "Pipe"),
    Column("insulation", "Insulation", "in", "right"),
    Column("width", "Least width", "in", "right"),
    Column("saw", "Next saw or bit", "in", "right"),
    Column("sleeve", "Least sleeve"),
    Column("given", "Width in the file", "in", "right"),
    Column("fits", "Wide enough"),
    Column("right", "Right", "in", "right"),
    Column("toward", "Toward", "in", "right"),
    Column("up", "Up", "in", "right"),
    Column("each", "Per unit", align="right"),
    Column("total", "Total", align="right"),
    Column("seals", "Seals", align="right"),
)
_NOTES = (
    "Width: pipe, insulation and 1/4 in all round (UFGS 15652). Saw: the next of the usual diameters (common practice, "
    "no source). Sleeve: the least standard steel pipe whose bore is so wide (ASME B36.10M).",
    "Seals: two a penetration, one at each end. What a fire-rated wall asks for, sleeves and gaps among it, is in its "
    "listing, not here. A sleeve is as long as its wall is thick, and floor sleeves stand out: not in the file.",
    "Along its run: from where the straight that it is on begins, in flow order, from centre to centre. Right, toward "
    "and up: the middle of the pipe from the unit's bench mark. On the way of the pipe it is where the file puts the "
    "floor or wall, else where the moves on both sides of it put it; a `through` at the very start or end of its "
    "straight says no place on it: write one, such as `at up 0 in`.",
)
#: The axes of a place, in the order of vectors.
_AXES = ("right", "toward", "up")
#: What a hole is alike by, and bought for.
_ALIKE = ("plate", "size", "insulation", "width", "saw", "sleeve")


@dataclass(frozen=True, slots=True)
class _Hole:
    """One penetration of a run of pipe: its move, and how far along the run the moves put it."""

    run: Component
    move: Move
    along: Fraction | Unknown


def penetrations(job: Job) -> Table:
    """A row a hole for every distinct hookup; behind them a row for those that are alike, by what they go through."""
    tally = Tally()
    alike: dict[tuple[str, ...], dict[str, Value]] = {}
    unsaid: dict[str, None] = {}

    def rows(hookup: Hookup) -> Iterator[Row]:
        straights = {s.run: s for s in hookup.measured.straights if s.run} if hookup.measured is not None else {}
        for number, hole in enumerate(_holes(hookup), 1):
            what = _what(hookup, hole, unsaid)
            key = tuple(str(what[name]) for name in _ALIKE)
            alike.setdefault(key, {name: what[name] for name in _ALIKE})
            tally.add(key, hookup, 1, origin=(hole.move.span,))
            cells = {
                **what,
                "hole": f"hole {number}",
                "line": hole.run.line,
                **_given(hole.move, what["width"]),
                **_place(hookup, hole, straights.get(hole.run.id)),
            }
            yield Row(cells, (hole.move.span,), f"`through {hole.move.through}` stands there in the file")

    made = list(in_blocks(job.hookups, lambda hookup: list(rows(hookup))))
    for key, line in tally.lines.items():
        cells: dict[str, Value] = {
            "units": "all units",
            "hole": "to make",
            **alike[key],
            "each": line.per_unit(len(job.hookups)),
            "total": trimmed(line.total),
            "seals": trimmed(2 * line.total),
        }
        made.append(Row(cells, line.origin, "the holes above that are alike"))
    notes = list(_NOTES) if made else []
    if unsaid:
        notes.append(f"Width not known, since the file does not say `insulate` of: {', '.join(unsaid)}.")
    return Table("penetrations", "Penetrations", _COLUMNS, tuple(made), tuple(notes))


def _holes(hookup: Hookup) -> Iterator[_Hole]:
    """Every penetration in the order of the components, with how far along its run it is, centre to centre.

    At the very start or end of its run it is only known to be on it.
    """
    for component in hookup.components():
        passed: Fraction | Unknown = Fraction(0)
        moves = component.pipe.moves if component.pipe is not None else ()
        lengths = [number for number, move in enumerate(moves) if not (move.mark or move.through)]
        for number, move in enumerate(moves):
            if move.through:
                between = bool(lengths) and lengths[0] < number < lengths[-1]
                yield _Hole(component, move, passed if between else NOT_MEASURED)
            elif not move.mark:
                length = move.legs[0].length if move.legs else move.length
                known = length is not None and not move.about and len(move.legs) <= 1
                passed = passed + length if known and isinstance(passed, Fraction) and length else NOT_MEASURED


def _what(hookup: Hookup, hole: _Hole, unsaid: dict[str, None]) -> dict[str, Value]:
    """Pipe, insulation and the hole that they need."""
    pipe, service = hole.run, hookup.services.get(hole.run.service)
    row = hookup.lines[pipe.line].spec.row(pipe.size)
    od = outside(pipe.size, row.metal) if row is not None else None
    thickness = service.insulation_in if service is not None else None
    cells: dict[str, Value] = {"plate": hole.move.through, "size": pipe.size.label, "insulation": thickness}
    if od is None or thickness is None:
        if thickness is None:
            unsaid.setdefault(pipe.service)
            cells["insulation"] = "not said"
        unknown = NOT_IN_TABLES if od is None else NOT_MEASURED
        return {**cells, "width": unknown, "saw": unknown, "sleeve": str(unknown)}
    width = hole_for(od, thickness)
    saw, sleeve = saw_for(width), sleeve_for(width)
    return {
        **cells,
        "width": width,
        "saw": NOT_IN_TABLES if saw is None else saw[0],
        "sleeve": str(NOT_IN_TABLES) if sleeve is None else sleeve.label,
    }


def _given(move: Move, width: Value) -> dict[str, Value]:
    """The hole in the file, and whether it is wide enough."""
    if move.hole_in is None:
        return {"given": None, "fits": "no hole said"}
    if not isinstance(width, Fraction):
        return {"given": move.hole_in, "fits": "cannot tell"}
    return {"given": move.hole_in, "fits": "yes" if move.hole_in >= width else "no"}


def _place(hookup: Hookup, hole: _Hole, straight: Straight | None) -> dict[str, Value]:
    """How far along its run the hole is, and where the middle of the pipe is there, from the unit's bench mark."""
    start, unit = _line_of(hookup, straight)
    if start is None or unit is None or straight is None:
        return {"at": hole.along, **dict.fromkeys(_AXES, NOT_MEASURED)}
    said = said_along(hookup, straight, hole.move)
    along = hole.along if said is None else said
    made: dict[str, Value] = {"at": along}
    for axis, at, step in zip(_AXES, start, unit, strict=True):
        if step:
            made[axis] = at + step * along if isinstance(along, Fraction) else NOT_MEASURED
        else:
            made[axis] = at
    return made


def said_along(hookup: Hookup, straight: Straight, move: Move) -> Fraction | None:
    """How far from its start the place in the file of a penetration lies along its straight, inches.

    None where the file says none on the way of the pipe, or where the straight is not tied to the bench mark.
    """
    start, unit = _line_of(hookup, straight)
    if start is None or unit is None:
        return None
    for axis, at, step in zip(_AXES, start, unit, strict=True):
        said = _said(move.place, axis)
        if step and said is not None:
            return step * (said - at)
    return None


def _line_of(hookup: Hookup, straight: Straight | None) -> tuple[Vector | None, tuple[int, int, int] | None]:
    """Where a straight begins, from the bench mark, and its direction along one of the axes."""
    measured = hookup.measured
    if measured is None or straight is None or measured.islands.get(straight.a) != 0:
        return None, None
    return measured.marks.get(straight.a), unit_vector(straight.heading)


def _said(place: Place | None, axis: str) -> Fraction | None:
    return None if place is None else {"right": place.right, "toward": place.toward, "up": place.up}[axis]
