"""mirror: a hookup drawn for one airflow hand to the hand of its units."""

from __future__ import annotations

from dataclasses import replace

from ..model.hookup import MIRRORED, CoilFacts, Hookup, Move
from .run import Run


def mirror(hookup: Hookup, run: Run) -> Hookup:
    """The mirror image of a hookup whose units run the other way than drawn; any other is returned as it is.

    Left and right change places in every move and place, and on every component with a hand of its own. Flow order,
    elevations (`up`, `down`) and depth (`toward`, `away`) stay. Applied twice it gives back the same hookup.
    Needs: links with moves. Adds: nothing.
    """
    if not hookup.mirrored:
        return hookup
    for link in hookup.links:
        link.moves = tuple(mirrored_move(move) for move in link.moves)
    hookup.moves = [(line, mirrored_move(move)) for line, move in hookup.moves]
    for line in hookup.lines.values():
        line.start = line.start and line.start.mirrored()
        line.end = line.end and line.end.mirrored()
    hookup.cabinet = hookup.cabinet and hookup.cabinet.mirrored()
    hookup.coils = {tag: _mirrored_coil(coil) for tag, coil in hookup.coils.items()}
    for component in hookup.components():
        component.hand = MIRRORED.get(component.hand, component.hand)
        if component.fitted.stem in MIRRORED:
            component.fitted = replace(component.fitted, stem=MIRRORED[component.fitted.stem])
    return hookup


def mirrored_move(move: Move) -> Move:
    """One move for the other hand."""
    if not move.legs:
        return replace(move, place=move.place.mirrored()) if move.place is not None else move
    return replace(move, legs=tuple(leg.mirrored() for leg in move.legs))


def as_drawn(hookup: Hookup, direction: str) -> str:
    """A direction of a hookup as the file says it: findings and mends speak of the drawing, whatever hand is built."""
    return MIRRORED.get(direction, direction) if hookup.mirrored else direction


def _mirrored_coil(coil: CoilFacts) -> CoilFacts:
    ports = {name: replace(port, place=port.place and port.place.mirrored()) for name, port in coil.ports.items()}
    return replace(coil, ports=ports, pull_space=coil.pull_space and coil.pull_space.mirrored())


def coil_hand(airflow: str) -> str:
    """The hand of the coil to order: `right` or `left`, empty where the airflow is not said.

    Standing inside with the air on your back, the connections are at your right hand: a right-hand coil (a fan maker's
    text, see docs/rules.md, hand-not-as-ordered; the convention is printed with the name, since the opposite one is
    also heard). The drawing is seen facing the connections, so air that runs left to right has them at its right.

    >>> coil_hand("left to right"), coil_hand("right to left"), coil_hand("")
    ('right', 'left', '')
    """
    return {"left to right": "right", "right to left": "left"}.get(airflow, "")
