"""Liquid that is shut in between tight valves and warms up."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass

from ..analysis.places import at_coil, below, is_asked, line_name
from ..analysis.sections import Section, Sections
from ..catalogue.dimensions import pipe_wall
from ..catalogue.expansion import HIGHEST_F, LOWEST_F, pressure_rise
from ..model.declared import Service
from ..model.finding import Finding, Note
from ..model.hookup import Component, Hookup
from ..model.mend import Mend
from ..passes.straights import is_outlet
from .registry import Verdict, concerned, fault, no, rule, yes

_SOURCES = (
    "two process engineering texts on relief of trapped liquid (check valves count; cold water indoors is excused)",
    "a report of a glycol test line in the sun (10 to over 400 psi in half an hour)",
    "a note on thermal relief of blocked-in piping",
)
_AGREEMENT = "4 sources read on the hazard; 1 excuses cold water indoors"
_NEEDS = "`outdoors` on a line, `heat traced` and the design temperatures in the service's block"
_WHY = (
    "Water that fills a shut piece has no room to expand: each degree adds some ten to fifty psi, until a gasket or "
    "a tube gives way."
)


@rule(
    "blocked-in-liquid",
    severity="should",
    liquid=True,
    title="Relief when shut in",
    asks="glycol, an outdoor line or a heat-traced one that can be shut in at both ends has a relief valve",
    why=_WHY,
    mend="put a `relief valve 1/2` into this piece, or accept the finding with the procedure that opens a vent before "
    "the valves are shut",
    sources=_SOURCES,
    agreement=_AGREEMENT,
    needs=_NEEDS,
)
def blocked_in_liquid(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A piece that nothing leaves with its shutoffs shut, on glycol, outdoors or heat traced, without relief."""
    for piece in _pieces(hookup, sections):
        if piece.exposed and piece.relief:
            yield from (yes(coil.tag, piece.relief.label) for coil in piece.coils)
        elif piece.exposed:
            yield from (no(coil.tag, f"shut in by {piece.by}") for coil in piece.coils)
            yield _finding(hookup, piece, f"{piece.exposed}, and no relief valve")


@rule(
    "blocked-in-water-indoors",
    severity="note",
    liquid=True,
    asks="water indoors that can be shut in at both ends has a way out when it warms up",
    why=_WHY,
    mend="open a vent before the second valve is shut, and say so on the lineup sheet; or put in a `relief valve 1/2`",
    sources=_SOURCES,
    agreement=_AGREEMENT,
    needs=_NEEDS,
)
def blocked_in_water_indoors(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A piece with a coil that nothing leaves with its shutoffs shut, on water that nothing but the room warms."""
    for piece in _pieces(hookup, sections):
        if not piece.exposed and not piece.relief and piece.coils:
            yield _finding(hookup, piece, "no relief valve")


@dataclass(slots=True)
class _Piece:
    """A piece that nothing leaves. `exposed`: why it can warm up more than a room does; empty if nothing says so."""

    section: Section
    coils: list[Component]
    checks: list[Component]
    exposed: str
    relief: Component | None
    outlets: list[Component]  # those that lines of the file put on pipe in it

    @property
    def valves(self) -> list[Component]:
        return [*dict.fromkeys(v for v, _ in self.section.valves if not v.role), *self.checks]

    @property
    def by(self) -> str:
        return ", ".join(valve.label for valve in self.valves)


def _pieces(hookup: Hookup, sections: Sections) -> list[_Piece]:
    """The pieces of a hookup that nothing leaves; worked out once for both rules."""
    return sections.once(_find_pieces)


def _find_pieces(hookup: Hookup, sections: Sections) -> list[_Piece]:
    found = []
    for section in sections.all:
        items = [c for c in section.components if c.line and c.kind.group in ("valves", "specialties", "equipment")]
        inside = [*section.coils, *items]
        if section.is_stub or not inside or not section.components:
            continue
        reached = _outflow(hookup, sections, inside[0])
        if any(c.kind.ports == "main" for c in reached):
            continue
        checks = [c for c in reached if c.kind.can("checks")] if section.mains else []
        relief = next((c for c in reached if c.kind.can("relieves")), None)
        coils = [c for c in reached if c.kind.ports == "coil"]
        outlets = [c for c in reached if is_outlet(c) and is_asked(c)]
        found.append(_Piece(section, coils, checks, _exposure(hookup, reached), relief, outlets))
    return found


def _outflow(hookup: Hookup, sections: Sections, start: Component) -> list[Component]:
    """Where expanding liquid can get to from one place: not through shut valves, nor back through checks."""
    found = {start.id: start}
    queue = deque([start.id])
    while queue:
        at = queue.popleft()
        for port, other, back, _ in sections.neighbours[at]:
            component = hookup.component(other)
            if other in found or component.kind.can("isolates"):
                continue
            if hookup.component(at).kind.can("checks") and port == "in":
                continue
            found[other] = component
            if not component.kind.can("checks") or back == "in":
                queue.append(other)
    return list(found.values())


def _exposure(hookup: Hookup, reached: list[Component]) -> str:
    """Why the liquid can warm up; empty for water indoors."""
    services = {c.service: hookup.services[c.service] for c in reached if c.service in hookup.services}
    lines = {c.line: hookup.lines[c.line] for c in reached if c.line in hookup.lines}
    if any("outdoors" in line.remarks for line in lines.values()):
        return "it runs outdoors"
    if any(service.heat_traced for service in services.values()):
        return "it is heat traced"
    glycol = next((s.fluid for s in services.values() if "glycol" in s.fluid), "")
    return f"it holds {glycol}" if glycol else ""


def _finding(hookup: Hookup, piece: _Piece, because: str) -> Finding:
    coil = piece.coils[0] if piece.coils else None
    first = piece.valves[0] if piece.valves else piece.section.components[0]
    valves = ", ".join(f"`{valve.label}`" for valve in piece.valves)
    return fault(
        f"{piece.section.name()} can be shut in: {because}",
        hookup.coils[coil.tag].span if coil is not None else first.origin[0],
        about=concerned(hookup, *piece.coils, *piece.valves),
        notes=(Note(f"shut in by {valves or 'its ends'}"), Note(_how_much(hookup, piece))),
        mend=_relieved(hookup, piece),
    )


def _relieved(hookup: Hookup, piece: _Piece) -> Mend:
    """A relief valve beside another outlet of the piece, where it parts no length of the file; else at the coil."""
    relief = ("tee, 3/4", "    relief valve 1/2")
    legs = [line_name(coil.tag, leg) for coil in piece.coils for leg in ("supply", "return")]
    beside = sorted((c for c in piece.outlets if c.line in (legs or [c.line])), key=lambda c: c.origin[0].line)
    if hookup.measured is not None and beside:
        first = legs[0] if legs else beside[0].line
        return below(hookup, next((c for c in reversed(beside) if c.line == first), beside[-1]), *relief)
    return at_coil(hookup, piece.coils[0].tag, "supply", *relief) if piece.coils else ()


def _how_much(hookup: Hookup, piece: _Piece) -> str:
    """The rise of pressure between the service's two temperatures, for the largest pipe of the piece."""
    pipes = [c for c in piece.section.components if c.line in hookup.lines]
    if not pipes:
        return "how far the pressure rises is not known: no pipe is in the piece"
    largest = max(pipes, key=lambda c: c.size)
    line = hookup.lines[largest.line]
    service: Service | None = hookup.services.get(line.service)
    if service is None or service.low_f is None or service.high_f is None:
        return "how far the pressure rises is not known: say the design temperatures in the service's block"
    row = line.spec.row(largest.size)
    copper = row is not None and row.metal == "copper"
    wall = pipe_wall(row, largest.size)
    cold, warm = max(service.low_f, LOWEST_F), min(service.high_f, HIGHEST_F)
    rise = None
    if wall is not None:
        metal = "copper" if copper else "steel"
        rise = pressure_rise(cold, warm, 0, float(wall.od), float(wall.wall), metal)
    if rise is None:
        return "how far the pressure rises is not in the tables"
    steps = 50 if rise >= 200 else 10
    said = (
        f"full of water from {cold:g} to {warm:g} degF its pressure rises by about {round(rise / steps) * steps:,} psi"
    )
    name = f"NPS {largest.size} {'copper' if copper else 'steel'} pipe"
    glycol = "; a glycol mixture expands more" if "glycol" in service.fluid else ""
    return f"in {name}, {said} unless something leaks or gives way{glycol}"
