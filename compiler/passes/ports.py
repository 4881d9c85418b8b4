"""Which port of a component a line joins."""

from __future__ import annotations

from ..model.finding import Findings
from ..model.hookup import Component
from ..model.plan import LinePlan, PointRef

#: Names of the side port of a three-way valve, as files say them.
BYPASS = ("bypass", "b")


def port_for(component: Component, point: PointRef, line: LinePlan, coil_port: str, findings: Findings) -> str | None:
    """The port that a point of a line names; on a coil `coil_port` if it names none."""
    ports = component.kind.ports
    if ports == "coil":
        port = point.port or (coil_port if line.word in ("supply", "return") else "")
        if port in ("supply", "return"):
            return port if port in component.ends else None
        findings.add(
            "port-missing",
            f"which connection of `{point.tag}` is meant is not said",
            point.span,
            help=f"write `{point.tag} supply` or `{point.tag} return`",
        )
        return None
    if ports == "tee":
        return "branch"
    if ports == "three-way" and (not point.port or point.port in BYPASS):
        return "bypass"
    findings.add(
        "no-such-port",
        f"a {component.kind.name} has no free side for a line to join",
        point.span,
        help="put a tagged tee where the line joins, and name that",
    )
    return None
