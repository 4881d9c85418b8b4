"""What a service is designed for against what its parts bear."""

from __future__ import annotations

from collections.abc import Iterable

from ..analysis.bearing import Bears, bearing
from ..analysis.sections import Sections
from ..model.declared import Service
from ..model.finding import Finding, Note
from ..model.hookup import Hookup
from .registry import concerned, fault, rule

_COLD_F = 100.0  # where a service says no temperature: parts bear no more than at this one
_NAMED = 4


@rule(
    "design-over-rating",
    severity="must",
    asks="no part of a service is rated below its design pressure at its design temperature",
    why="The weakest flange or body sets what a line bears; above it gaskets blow out and iron cracks.",
    mend="order the parts in a higher class, give the service a spec of that class, or correct its `design` pressure",
    sources=("ASME B16.5, B16.1, B16.24, B16.3, B16.22, MSS SP-80 (ratings, in part from memory)",),
    agreement="one table a standard",
    needs="`design` pressure and temperature of the service",
)
def design_over_rating(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """The design pressure of every service against its flanges, soldered joints, bodies, and coils that say it."""
    weak: dict[str, list[Bears]] = {}
    for component in hookup.components():
        service = hookup.services.get(component.service)
        if service is None or service.pressure_psi is None or component.kind.ports == "main":
            continue
        for bears in bearing(hookup, component, _COLD_F if service.high_f is None else service.high_f):
            if bears.psi < service.pressure_psi:
                weak.setdefault(service.name, []).append(bears)
        rated = hookup.coils[component.id].rated_psi if component.kind.ports == "coil" else None
        if rated is not None and rated < service.pressure_psi:
            weak.setdefault(service.name, []).append(Bears(component, "as its maker says", int(rated)))
    for name, found in weak.items():
        yield _weak(hookup, hookup.services[name], sorted(found, key=lambda bears: bears.psi))


def _weak(hookup: Hookup, service: Service, found: list[Bears]) -> Finding:
    hot = f" at {service.high_f:g} F" if service.high_f is not None else ""
    alike: dict[tuple[int, str], dict[str, None]] = {}
    for bears in found:
        alike.setdefault((bears.psi, bears.what), {})[bears.part.called or bears.part.label] = None
    notes = []
    for (psi, what), parts in alike.items():
        named = ", ".join(f"`{part}`" for part in list(parts)[:_NAMED])
        more = f" and {len(parts) - _NAMED} more" if len(parts) > _NAMED else ""
        notes.append(Note(f"{psi:,} psi at most ({what}): {named}{more}"))
    weakest = found[0].part.called or found[0].part.label
    return fault(
        f"`{service.name}` is designed for {service.pressure_psi:,.0f} psi{hot}, and `{weakest}` is good for "
        f"{found[0].psi:,} psi",
        service.places.get("design", service.origin[0]),
        about=concerned(hookup, *dict.fromkeys(bears.part for bears in found)),
        notes=tuple(notes),
    )
