"""Flexible connectors at a coil: behind the hanger that holds the nozzle, and as wide as it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..analysis.legs import Leg
from ..analysis.places import at_coil
from ..analysis.saying import called
from ..analysis.sections import Sections
from ..analysis.water import legs
from ..model.finding import Finding
from ..model.hookup import Component, Hookup
from .registry import Verdict, cannot_tell, concerned, fault, no, rule, yes

_HANGER = "hanger"


@rule(
    "flexible-connector-unheld",
    severity="should",
    title="Flexible behind hanger",
    asks="a hanger stands between the coil's connection and its flexible connector",
    why="A hose holds nothing up: with no hanger on the coil's side of it the stub, its valves and the water in them "
    "hang on the header.",
    mend="write `hanger` between the coil and the flexible connector",
    sources=("seven coil, air handler and heat pump makers' manuals", "common practice for the place"),
    agreement="7 sources read for connectors on heating coils and vibrating units; the place is our reading of them",
    needs="`hanger` on the legs",
)
def flexible_connector_unheld(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """What a walk from the coil meets first: a hanger or the flexible connector."""
    for tag, leg, connector in _connectors(hookup, sections):
        way = _from_coil(leg)
        at = way.index(connector)
        if any(_holds(c) for c in way[:at]):
            yield yes(tag, called(connector), leg.name)
        elif any(_holds(c) for c in way[at:]):
            yield no(tag, f"none between coil and {called(connector)}", leg.name)
            yield fault(
                f"no hanger between the {leg.name} of coil `{tag}` and `{connector.label}`",
                connector.origin[0],
                about=(tag, *concerned(hookup, connector)),
                mend=at_coil(hookup, tag, leg.name, "hanger"),
            )
        else:
            yield cannot_tell(tag, "write `hanger` where hangers stand", leg.name)


@rule(
    "flexible-connector-small",
    severity="should",
    asks="a flexible connector is no smaller than the coil's connection",
    why="A narrow hose takes the pressure that the coil was chosen with, and wears where the water enters it fast.",
    mend="order it in the size of the coil's connection",
    sources=("a heat pump maker's manual",),
    agreement="1 source read",
)
def flexible_connector_small(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """The size of the flexible connector nearest to a coil against that of the connection on its leg."""
    for tag, leg, connector in _connectors(hookup, sections):
        end = hookup.component(tag).ends.get(leg.name)
        if end is not None and connector.size < end.size:
            yield fault(
                f"`{connector.label}` is size {connector.size} on the {leg.name} of coil `{tag}`, which is {end.size}",
                connector.origin[0],
                about=(tag, *concerned(hookup, connector)),
            )


def _connectors(hookup: Hookup, sections: Sections) -> Iterator[tuple[str, Leg, Component]]:
    """The flexible connector nearest to a coil on each leg; where a pump stands on the leg, only if the coil asks for
    one, since they are the pump's else."""
    for tag, both in legs(hookup, sections).items():
        for leg in both.values():
            found = next((c for c in _from_coil(leg) if c.kind.can("flexes")), None)
            if found is not None and (hookup.coils[tag].wants_flexible or not leg.having("pumps")):
                yield tag, leg, found


def _from_coil(leg: Leg) -> list[Component]:
    return leg.way[::-1] if leg.name == "supply" else leg.way


def _holds(component: Component) -> bool:
    return component.pipe is not None and _HANGER in component.pipe.marks
