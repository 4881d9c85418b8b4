"""Gaskets, bolts and nuts: joint by joint, and rolled up for buying."""

from __future__ import annotations

from collections.abc import Iterator

from ..model.hookup import Hookup, UnitRef
from ..model.table import NOT_IN_TABLES, Column, Row, Table, Value
from .flanged import FlangedJoint, mixed
from .job import Job
from .open_joints import NOT_COUNTED, OpenJoint, not_counted, open_joints
from .packs import pack_cells, pack_of, with_packs
from .spares import NUT, extras
from .tally import Counted, Line, Tally, trimmed, units_text

_JOINT_COLUMNS = (
    Column("joint", "Joint", align="right"),
    Column("units", "Units"),
    Column("between", "Between"),
    Column("size", "Size"),
    Column("flanges", "Flanges"),
    Column("gaskets", "Gaskets", align="right"),
    Column("gasket", "Of"),
    Column("bolts", "Bolts", align="right"),
    Column("bolt", "Bolt"),
    Column("length", "Length", "in", "right"),
    Column("nuts", "Nuts", align="right"),
    Column("kit", "Insulating kit"),
)
_BUY_COLUMNS = (
    Column("item", "Item", align="right"),
    Column("size", "Size"),
    Column("description", "Description"),
    Column("standard", "Standard"),
    Column("total", "Total", align="right"),
    Column("extra", "Spare", align="right"),
    Column("buy", "Buy", align="right", formula="total + extra"),
)

#: How a bolt of each style is called, and its standard: threaded all along, or with a hex head. From memory.
_BOLTS = {
    "studs": ("stud", "ASME B18.31.2"),
    "machine bolts": ("machine bolt", "ASME B18.2.1"),
    "cap screws": ("cap screw", "ASME B18.2.1"),
}


def joints(job: Job) -> Table:
    """Every flanged joint of every distinct hookup; quantities are for one unit."""
    made: dict[tuple[Value, ...], tuple[Row, list[UnitRef]]] = {}  # hookups of both hands hold the same joints
    for hookup in job.hookups:
        seen: dict[tuple[Value, ...], int] = {}  # two joints of one hookup may read alike
        unbolted = (_open_row(joint) for joint in open_joints(hookup) if joint.is_flanged)
        for row in (*map(_joint_row, job.flanged(hookup)), *unbolted):
            key = tuple(row.cells.values())
            seen[key] = seen.get(key, 0) + 1
            made.setdefault((*key, hookup.name, seen[key]), (row, []))[1].extend(hookup.units)
    rows = [
        Row({"joint": number, "units": units_text(units), **row.cells}, row.origin, row.why)
        for number, (row, units) in enumerate(made.values(), 1)
    ]
    notes = (
        "Quantities are for one unit. A star in a tag stands for the unit's number.",
        "Stud lengths do not count the points. Tighten by the gasket maker's procedure; nothing here says how tight.",
    )
    return Table("joints", "Flange list, joint by joint", _JOINT_COLUMNS, tuple(rows), notes)


def _joint_row(joint: FlangedJoint) -> Row:
    bolts = joint.bolts
    length: Value = NOT_IN_TABLES
    if bolts is not None and bolts.length is not None:
        length = bolts.length
    cells: dict[str, Value] = {
        "between": " - ".join(c.label for c in joint.between),
        "size": joint.size.label,
        "flanges": f"class {joint.rating}, {joint.faces}",
        "gaskets": joint.gaskets,
        "gasket": joint.gasket,
        "bolts": bolts.number if bolts is not None else NOT_IN_TABLES,
        "bolt": f"{bolts.style}, {bolts.dims.thread}" if bolts is not None else NOT_IN_TABLES,
        "length": length,
        "nuts": bolts.nuts * bolts.number if bolts is not None else NOT_IN_TABLES,
        "kit": "yes" if joint.kit else "",
    }
    return Row(cells, joint.origin, joint.why)


def _open_row(joint: OpenJoint) -> Row:
    cells: dict[str, Value] = {
        "between": f"{joint.a.label} - {joint.b.label}",
        "size": joint.end_a.size.label,
        "flanges": f"{joint.end_a} to {joint.end_b}",
        "gasket": NOT_COUNTED,
    }
    return Row(cells, joint.origin, "nothing in the spec brings these two ends together: see the findings")


def bolting_lines(job: Job) -> dict[tuple[str, ...], Line]:
    """Gaskets, bolts, nuts and kits of all units by (group, size, description, standard, unit)."""
    tally = Tally()
    for one in bolting_items(job):
        tally.take(one)
    return tally.lines


def bolting_items(job: Job) -> Iterator[Counted]:
    """Gaskets, bolts, nuts and kits of each flanged joint of each hookup."""
    for hookup in job.hookups:
        for joint in job.flanged(hookup):
            yield from _items(hookup, joint)


def _items(hookup: Hookup, joint: FlangedJoint) -> Iterator[Counted]:
    size = joint.size.label

    def counted(key: tuple[str, ...], count: float, why: str) -> Counted:
        return Counted(key, hookup, count, "", joint.origin, why, joint.line)

    if joint.gaskets:
        drilling = joint.rating.split(" on ")[-1]
        text = f"gasket class {'150' if drilling == '125' else drilling}, {joint.gasket}"
        why = "one for each flanged joint that does not seal itself"
        yield counted(("gaskets", size, text, "ASME B16.21", "pieces"), joint.gaskets, why)
    if joint.washers:
        text = "flange washer, between a grooved flange adapter and a rubber seat"
        why = "the adapter's seal wants a hard face"
        yield counted(("gaskets", size, text, "", "pieces"), joint.washers, why)
    if joint.kit:
        text = f"insulating flange kit, class {joint.rating}: sleeves and washers"
        yield counted(("gaskets", size, text, "", "sets"), 1, "copper meets steel here")
    bolts = joint.bolts
    if bolts is None:
        text = f"bolts of class {joint.rating} joints, {NOT_IN_TABLES}"
        yield counted(("bolting", size, text, "", "sets"), 1, joint.why)
        return
    length = f"{mixed(bolts.length)} in" if bolts.length is not None else f"length {NOT_IN_TABLES}"
    name, standard = _BOLTS[bolts.style]
    diameter = mixed(bolts.diameter)
    bolt_grade, nut_grade = (f", {grade}" if grade else "" for grade in joint.grades)
    text = f"{name}, {bolts.dims.thread} x {length}{bolt_grade}"
    yield counted(("bolting", diameter, text, standard, "pieces"), bolts.number, joint.why)
    if bolts.nuts:
        key = ("bolting", diameter, f"{NUT}, {bolts.dims.thread}{nut_grade}", "ASME B18.2.2", "pieces")
        yield counted(key, bolts.nuts * bolts.number, f"{bolts.nuts} on each bolt")


def bolting(job: Job) -> Table:
    """Gaskets, bolts and nuts for all units, with the spares that the file asks for kept apart."""
    rows: list[Row] = []
    lines = bolting_lines(job)
    more = extras({key: line.total for key, line in lines.items()}, job.settings)
    for key in sorted(lines, key=lambda k: (k[0] != "gaskets", k[2].split(",")[0], k[1], k[2])):
        line = lines[key]
        extra = more.get(key, 0)
        rows.append(
            Row(
                {
                    "item": len(rows) + 1,
                    "size": key[1],
                    "description": key[2],
                    "standard": key[3],
                    "total": trimmed(line.total),
                    "extra": more.get(key),
                    "buy": trimmed(line.total + extra),
                    **pack_cells(pack_of(key[0], key[2], job.settings), line.total + extra),
                },
                line.origin,
                "; ".join(line.reasons),
            )
        )
    columns, notes = with_packs(_BUY_COLUMNS, rows), not_counted(job, flanged=True)
    return Table("bolting", "Gaskets, bolts and nuts to buy", columns, tuple(rows), notes)
