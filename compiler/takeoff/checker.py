"""The checker's table: a row a coil of every unit, a column a requirement."""

from __future__ import annotations

from ..model.hookup import Component, Hookup, with_number
from ..model.table import Column, Row, Table
from ..passes.mirror import coil_hand
from ..rules.drainage import wanting
from ..rules.isolation import breaks_on
from ..rules.sections import Section, Sections
from .job import Job

_COLUMNS = (
    Column("unit", "Unit"),
    Column("coil", "Coil"),
    Column("hand", "Hand"),
    Column("drains", "Drains"),
    Column("vents", "Vents"),
    Column("supply_shutoff", "Supply shutoff"),
    Column("return_shutoff", "Return shutoff"),
    Column("supply_joint", "Supply opens at"),
    Column("return_joint", "Return opens at"),
)
_CANNOT = "cannot tell: which connection is low is not said"


def checker(job: Job) -> Table:
    """For every coil of every unit: drains, vents, shutoffs and joints that free it, each `yes` with what, or `no`."""
    rows: list[Row] = []
    for hookup in job.hookups:
        answers = _answers(hookup)
        for unit in hookup.units:
            for coil, cells in answers.items():
                filled = {key: with_number(text, unit.number) for key, text in cells.items()}
                rows.append(
                    Row(
                        {"unit": unit.tag, "coil": with_number(coil, unit.number), **filled},
                        (hookup.coils[coil].span, unit.span),
                    )
                )
    notes = (
        "Shutoffs are taken as shut. Low and high points follow from the moves in the file.",
        "Hand: standing with the air on your back, the side on which the connections are. Others name it the other way "
        "round: order by the sketch, not by the word.",
    )
    return Table("checker", "Checker's table", _COLUMNS, tuple(rows), notes)


def _answers(hookup: Hookup) -> dict[str, dict[str, str]]:
    """The cells of every coil, with `*` still in the tags."""
    sections = Sections(hookup)
    unknown = {c.id for c in sections.levels_unknown}
    made: dict[str, dict[str, str]] = {}
    for tag in hookup.coils:
        if tag not in sections.neighbours:
            continue
        section = sections.of((tag, "supply"))
        cells = {"hand": coil_hand(hookup.airflow) or "cannot tell: airflow not said"}
        cells["drains"] = _CANNOT if tag in unknown else _low_or_high(section, "low")
        cells["vents"] = _CANNOT if tag in unknown else _low_or_high(section, "high")
        for leg in ("supply", "return"):
            cells[f"{leg}_shutoff"] = _shutoff(sections, tag, leg)
            found, solid = breaks_on(hookup, sections, tag, leg)
            if solid:
                cells[f"{leg}_joint"] = f"no: {solid[0][0].label} is joined solid"
            else:
                cells[f"{leg}_joint"] = "yes: " + found[0] if found else "no: joined to nothing"
        made[tag] = cells
    return made


def _low_or_high(section: Section, which: str) -> str:
    if section.mains:
        return f"no: open to main {section.mains[0].tag}"
    missing = wanting(section, "low" if which == "low" else "high")
    if missing:
        return f"no: {len(missing)} {which} point{'s' if len(missing) > 1 else ''} without"
    through = [_called(o.through) for o in section.openings if (o.drains if which == "low" else o.vents)]
    return "yes: " + ", ".join(dict.fromkeys(through))


def _called(component: Component) -> str:
    return component.tag or f"line {component.origin[0].line}"


def _shutoff(sections: Sections, coil: str, leg: str) -> str:
    walk = sections.leg(coil, leg)
    if walk.reached:
        end = walk.reached[0][0]
        return f"no: open to {'main' if end.kind.ports == 'main' else 'coil'} {end.tag}"
    tags = [_called(valve) for valve, _, _ in walk.valves if not valve.role]
    return "yes: " + ", ".join(dict.fromkeys(tags)) if tags else "no: joined to nothing"
