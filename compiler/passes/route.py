"""route: moves to elbows and straight pieces of pipe, each with its direction."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from ..model.hookup import OPPOSITE, Component, Hookup, Link, Move
from .run import Run

#: Tangent of 45 degrees gives travel = set x sqrt 2; kept as a float, since it is no fraction of an inch.
_ROOT_2 = 2**0.5


def route(hookup: Hookup, run: Run) -> Hookup:
    """Put an elbow wherever a line changes direction, so that every link runs straight.

    Needs: links with moves, in flow order a line. Adds: elbow components; links with at most one direction, and the
    heading of the line at every component.
    Finds: a line that turns straight back on itself.
    """
    straight: list[Link] = []
    headings: dict[str, str] = {}
    for link in hookup.links:
        # A branch leaves its tee square to the line: its direction is known from its own moves only.
        heading = headings.get(link.a, "") if link.port_a == "out" else ""
        heading = _lay(link, heading, hookup, run, straight)
        headings[link.b] = heading
        target = hookup.component(link.b)
        if link.port_b == "in":
            target.heading = heading
    hookup.links = straight
    return hookup


def _lay(link: Link, heading: str, hookup: Hookup, run: Run, made: list[Link]) -> str:
    """Split one link at its changes of direction into `made`; returns the heading at its far end."""
    at, port = link.a, link.port_a
    pending: list[Move] = []
    count = 0

    def fitting(name: str, move: Move) -> None:
        nonlocal at, port, pending, count
        count += 1
        elbow = Component(
            id=f"{link.a} {link.port_a} > {name} {count}",
            kind=run.declared.kinds[name],
            size=link.size,
            line=link.line,
            service=_service(hookup, link),
            origin=(move.span,),
            why="the line changes direction here",
            heading=heading,
        )
        hookup.add(elbow)
        made.append(Link(at, port, elbow.id, "in", link.line, link.size, tuple(pending), heading, link.span))
        at, port, pending = elbow.id, "out", []

    for move in link.moves:
        if not move.legs:
            pending.append(move)
        elif move.at_45:
            fitting("45 elbow", move)
            made_travel = _travel(move)
            pending.append(replace(move, length=made_travel))
            before, heading = heading, "offset"
            fitting("45 elbow", move)
            heading = before
        else:
            direction = move.legs[0].direction
            if heading and OPPOSITE[direction] == heading:
                run.findings.add(
                    "move-turns-back",
                    f"the line runs {heading} here and cannot turn straight back {direction}",
                    move.span,
                    help="put a move to one side between the two",
                )
            elif heading and direction != heading:
                fitting("elbow", move)
            heading = direction
            pending.append(move)
    made.append(Link(at, port, link.b, link.port_b, link.line, link.size, tuple(pending), heading, link.span))
    return heading


def _travel(move: Move) -> Fraction | None:
    """Length along a 45 degree offset, centre to centre, in inches to 1/64: the true offset times sqrt 2.

    The true offset of a rolling one is the root of set squared plus roll squared. Geometry, no source needed.
    """
    lengths = [leg.length for leg in move.legs]
    if any(length is None for length in lengths):
        return None
    true = sum(float(length) ** 2 for length in lengths if length is not None) ** 0.5
    return Fraction(round(true * _ROOT_2 * 64), 64)


def _service(hookup: Hookup, link: Link) -> str:
    line = hookup.lines.get(link.line)
    return line.service if line is not None else ""
