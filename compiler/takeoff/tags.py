"""The tag list, for engraving: one row a real tag."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from ..analysis.sections import Section, Sections
from ..model.hookup import Component, Hookup, with_number
from ..model.table import Column, Row, Table, Value
from .job import Job
from .schedules import normally
from .tally import in_order

_COLUMNS = (
    Column("tag", "Tag"),
    Column("units", "Unit"),
    Column("kind", "Kind"),
    Column("size", "Size"),
    Column("service", "Service"),
    Column("position", "Normally"),
    Column("isolates", "Isolates"),
    Column("line", "Line"),
)
_GROUPS = ("valves", "specialties", "instruments", "equipment", "ends")


class _Tagged(NamedTuple):
    """What is the same for a tag in all units of a hookup; texts still with their stars."""

    component: Component
    cells: dict[str, Value]


def tags(job: Job) -> Table:
    """Every tag of every unit by name and number: valves, specialties, instruments, pumps, coils."""
    rows: dict[str, list[Row]] = {}
    for hookup in job.hookups:
        tagged = list(_tagged(hookup, job.sections(hookup)))
        for unit in hookup.units:
            for component, cells in tagged:
                own = {key: with_number(v, unit.number) if isinstance(v, str) else v for key, v in cells.items()}
                tag = with_number(component.tag, unit.number)
                row = Row({"tag": tag, "units": unit.tag, **own}, (*component.origin[:1], unit.span), component.why)
                rows.setdefault(tag, []).append(row)
    made = tuple(row for tag in in_order(tuple(rows)) for row in rows[tag])
    notes = (
        "Isolates: what is left on its two sides when it and all other shutoffs are shut.",
        "Tags of tees and of mains are names of places, and not listed. Coils of one tag in several units stand once a "
        "unit.",
    )
    return Table("tags", "Tags", _COLUMNS, made, notes)


def _tagged(hookup: Hookup, sections: Sections) -> Iterator[_Tagged]:
    for component in hookup.components():
        if not component.tag or component.kind.group not in _GROUPS or component.kind.ports == "main":
            continue
        cells: dict[str, Value] = {
            "kind": component.kind.name,
            "size": component.size.label,
            "service": component.service,
            "position": normally(component),
            "isolates": _isolates(sections, component),
            "line": component.line or None,
        }
        yield _Tagged(component, cells)


def _isolates(sections: Sections, valve: Component) -> str | None:
    """`coil TRIM from main CGS`; None for what is no shutoff."""
    if not valve.kind.can("isolates"):
        return None
    beside = [sections.of(sections.place(valve.id, port)) for port, *_ in sections.neighbours[valve.id]]
    sides = sorted({id(section): section for section in beside}.values(), key=lambda section: not section.coils)
    if len(sides) < 2:
        return "nothing by itself: both sides stay joined"
    return f"{_side(sides[0], valve)} from {' and '.join(_side(side, valve) for side in sides[1:])}"


def _side(section: Section, valve: Component) -> str:
    """One side of a valve: the coils and mains in it, else its other valves."""
    inside = [f"coil {c.tag}" for c in section.coils] + [f"main {c.tag}" for c in section.mains]
    if inside:
        return " and ".join(inside)
    others = dict.fromkeys(other.called for other, _ in section.valves if other is not valve and not other.role)
    if others:
        return f"the piece to {' and '.join(others)}"
    return "its outlet" if section.is_stub else "the piece behind it"
