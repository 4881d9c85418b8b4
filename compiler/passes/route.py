"""route: moves to elbows and straight pieces of pipe, each with its direction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from ..model.hookup import AXIS, OPPOSITE, Component, Hookup, Link, Move
from ..model.quantity import format_feet_inches
from .mirror import as_drawn
from .run import Run

#: A 45 degree offset advances as far as it goes aside, and its travel is that times the root of two. Both are kept to
#: the 64th of an inch, since neither need be a fraction.
_ROOT_2 = 2**0.5
_PARTS = 64


def route(hookup: Hookup, run: Run) -> Hookup:
    """Put an elbow wherever a line changes direction, so that every link runs straight.

    Needs: links with moves, in flow order a line. Adds: elbow components; links with at most one direction, and the
    heading of the line at every component.
    Finds: a line that turns straight back on itself, offsets that cannot be made.
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
            remarks=("short radius",) if move.short_radius and name == "elbow" else (),
        )
        hookup.add(elbow)
        made.append(Link(at, port, elbow.id, "in", link.line, link.size, tuple(pending), heading, link.span))
        at, port, pending = elbow.id, "out", []

    for number, move in enumerate(link.moves):
        if not move.legs:
            pending.append(move)
        elif move.at_45:
            heading = heading or _way_on(link.moves[number + 1 :])
            if not _can_be_made(move, heading, hookup, run):
                continue
            fitting("45 elbow", move)
            pending.append(replace(move, length=_travel(move, heading), along=heading))
            before, heading = heading, "offset"
            fitting("45 elbow", move)
            heading = before
        else:
            direction = move.legs[0].direction
            if heading and OPPOSITE[direction] == heading:
                run.findings.add(
                    "move-turns-back",
                    f"the line runs {as_drawn(hookup, heading)} here and cannot turn straight back "
                    f"{as_drawn(hookup, direction)}",
                    move.span,
                    help="put a move to one side between the two",
                )
            elif heading and direction != heading:
                fitting("elbow", move)
            heading = direction
            pending.append(move)
    made.append(Link(at, port, link.b, link.port_b, link.line, link.size, tuple(pending), heading, link.span))
    return heading


def _way_on(moves: Sequence[Move]) -> str:
    """The direction of the first move behind an offset: the line runs so before it too, if nothing else says how."""
    return next((m.legs[0].direction for m in moves if m.legs and not m.at_45), "")


def _can_be_made(move: Move, heading: str, hookup: Hookup, run: Run) -> bool:
    """Whether a line that runs one way can be offset so; if not, that is a finding."""
    said = " and ".join(as_drawn(hookup, leg.direction) for leg in move.legs)
    runs = as_drawn(hookup, heading)
    aside = [leg for leg in move.legs if leg.direction != heading]
    axes = [AXIS[leg.direction] for leg in move.legs]
    problem = help = ""
    if not heading:
        problem = "which way the line runs at this offset is not said"
        help = "put a move before it, such as `left 1 ft`"
    elif len(set(axes)) < len(axes):
        problem = f"an offset cannot go {said}: two of them are along one line"
        help = "leave one of them out"
    elif any(leg.direction == OPPOSITE[heading] for leg in move.legs):
        problem = f"the line runs {runs} here and an offset cannot bring it back {OPPOSITE[runs]}"
        help = f"write how far it goes to a side, such as `{_aside(heading)} 8 in, at 45`"
    elif not aside:
        problem = f"the line runs {runs} here: an offset {said} goes to no side"
        help = f"write how far it goes to a side, such as `{_aside(heading)} 8 in, at 45`"
    else:
        ahead = next((leg.length for leg in move.legs if leg.direction == heading), None)
        true = offset(move, heading)
        if ahead is None or true is None or abs(ahead - true) <= Fraction(1, 16):
            return True
        both = format_feet_inches(true)
        problem = f"at 45 the line gets {both} ahead while it goes {both} aside, not {format_feet_inches(ahead)}"
        help = f"write `{runs} {both}`, or leave `{runs}` out of the offset"
    run.findings.add("offset-impossible", problem, move.span, help=help)
    return False


def _aside(heading: str) -> str:
    return "left" if heading in ("up", "down") else "up"


def offset(move: Move, along: str) -> Fraction | None:
    """How far an offset goes aside of the line's direction `along`, inches; None if a length is missing.

    That of a rolling offset is the root of set squared plus roll squared. At 45 degrees the line gets as far ahead.

    >>> from ..model.hookup import Leg
    >>> from ..model.span import Span
    >>> legs = (Leg("up", Fraction(12)), Leg("toward", Fraction(5)))
    >>> offset(Move(legs, Span("", 1, 1, 1, 2)), "left")
    Fraction(13, 1)
    """
    lengths = [leg.length for leg in move.legs if leg.direction != along]
    known = [length for length in lengths if length is not None]
    if len(known) < len(lengths):
        return None
    if len(known) == 1:
        return known[0]
    return Fraction(round(sum(float(length) ** 2 for length in known) ** 0.5 * _PARTS), _PARTS)


def _travel(move: Move, along: str) -> Fraction | None:
    """Length of the sloping piece, centre to centre, inches: the true offset times the root of two."""
    true = offset(move, along)
    return None if true is None else Fraction(round(float(true) * _ROOT_2 * _PARTS), _PARTS)


def _service(hookup: Hookup, link: Link) -> str:
    line = hookup.lines.get(link.line)
    return line.service if line is not None else ""
