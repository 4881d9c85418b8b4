"""measure: moves with lengths to straights that add up, cut lengths, and places in space."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from ..model.hookup import Hookup, Joint, Link, Move
from ..model.measured import Measured, Part, Straight
from ..model.table import NOT_IN_TABLES, NOT_MEASURED, Unknown
from .headings import headings
from .place import place
from .run import Run
from .straights import OWN_PIPE, Sums, neighbours


def measure(hookup: Hookup, run: Run) -> Hookup:
    """Work out every straight of a hookup whose file gives lengths; any other is returned as it is.

    Needs: straights, joints. Adds: `measured`, the lengths of nipples, and to pipes those that follow from the two ends
    of their line. Where nothing is left for a pipe but one weld gap, it and one of its welds are taken out.
    """
    lined = frozenset(link.line for link in hookup.straights if _has_length(link))
    if not lined:
        return hookup
    hookup.measured = Measured()
    sums = Sums(hookup, neighbours(hookup), hookup.lengths, lined)
    hookup.measured.straights = [
        sums.straight(link, heading, taken)
        for link, (heading, taken) in zip(hookup.straights, headings(hookup), strict=True)
        if link.line in hookup.lines
    ]
    place(hookup, hookup.measured)
    for straight in hookup.measured.straights:
        _cut(hookup, hookup.measured, straight)
    return hookup


def _has_length(link: Link) -> bool:
    return any(not m.about and any(leg.length is not None for leg in m.legs) for m in link.moves)


def _cut(hookup: Hookup, measured: Measured, straight: Straight) -> None:
    """The pipe of a straight is what its take-outs, gaps and pieces leave of the length between the marks."""
    for part in straight.parts:
        component = hookup.component(part.id) if part.id else None
        if part.sort == "piece" and component is not None and component.pipe is not None:
            measured.cuts[part.id] = part.length
        elif part.sort == "piece" and component is not None and "nipple" in component.kind.name:
            component.length = part.length if isinstance(part.length, Fraction) else None
        elif part.source.startswith(OWN_PIPE) and isinstance(part.length, Fraction):
            before = measured.cuts.get(part.id, Fraction(0))
            measured.cuts[part.id] = before + part.length if isinstance(before, Fraction) else before
    if not straight.run:
        return
    component = hookup.component(straight.run)
    assert component.pipe is not None
    if straight.how == "from its ends":
        moves = _filled_in(component.pipe.moves, straight.centres)
        component.pipe = replace(component.pipe, length=straight.centres, about=False, moves=moves)
    inside = sum((_known_pipe(hookup, part) for part in straight.parts), Fraction(0))
    if inside and isinstance(component.pipe.length, Fraction):
        measured.rests[straight.run] = max(component.pipe.length - inside, Fraction(0))
    cut = _left(straight)
    gap = _gap_of(straight)
    if gap is not None and cut == -gap:
        _close_up(hookup, straight)
        return
    measured.cuts[straight.run] = cut
    straight.parts = tuple(replace(p, length=cut) if p.sort == "cut" else p for p in straight.parts)


def _known_pipe(hookup: Hookup, part: Part) -> Fraction:
    """How much pipe of its own a part of a straight is: a piece between fittings, a nipple, that of an outlet."""
    if not part.id or not isinstance(part.length, Fraction):
        return Fraction(0)
    component = hookup.component(part.id)
    piece = part.sort == "piece" and (component.pipe is not None or "nipple" in component.kind.name)
    return part.length if piece or part.source.startswith(OWN_PIPE) else Fraction(0)


def _filled_in(moves: tuple[Move, ...], centres: Fraction | Unknown) -> tuple[Move, ...]:
    """The moves of a straight whose length is known, with the one length that nobody gave; as they are if several."""
    given = {id(move): _given(move) for move in moves if move.legs}
    missing = [move for move in moves if move.legs and given[id(move)] is None]
    if len(missing) != 1 or not isinstance(centres, Fraction):
        return moves
    rest = centres - sum((length for length in given.values() if length is not None), Fraction(0))
    return tuple(replace(move, length=rest, about=False) if move is missing[0] else move for move in moves)


def _given(move: Move) -> Fraction | None:
    """The length of a move, where it is no allowance."""
    if move.about:
        return None
    return move.length if move.length is not None else move.legs[0].length


def _left(straight: Straight) -> Fraction | Unknown:
    if not isinstance(straight.centres, Fraction):
        return NOT_MEASURED
    left = straight.centres
    for part in straight.parts:
        if part.sort == "cut":
            continue
        if not isinstance(part.length, Fraction):
            return NOT_IN_TABLES
        left -= part.length
    return left


def _gap_of(straight: Straight) -> Fraction | None:
    """The weld gap at both ends of the pipe of a straight; None if it is not welded in between two bevels."""
    place = next(n for n, part in enumerate(straight.parts) if part.sort == "cut")
    before, behind = straight.parts[place - 1], straight.parts[place + 1]
    welded = before.what == behind.what == "butt weld" and isinstance(before.length, Fraction)
    return before.length if welded and isinstance(before.length, Fraction) else None


def _close_up(hookup: Hookup, straight: Straight) -> None:
    """Fitting to fitting: what the take-outs leave is one weld gap, so there is one weld and no pipe."""
    run = straight.run
    (u, joint), (v, other) = _either_side(hookup, run)
    hookup.take_out(run)
    made = joint._replace(port_b=other.port_b, end_b=other.end_b)
    hookup.make_up(u, v, made)
    place = next(n for n, part in enumerate(straight.parts) if part.sort == "cut")
    straight.parts = (*straight.parts[:place], *straight.parts[place + 2 :])
    straight.run = ""


def _either_side(hookup: Hookup, run: str) -> tuple[tuple[str, Joint], tuple[str, Joint]]:
    """What a pipe is joined to upstream and downstream, each with its joint."""
    (u, _, before) = next(iter(hookup.graph.in_edges(run, data=True)))
    (_, v, behind) = next(iter(hookup.graph.out_edges(run, data=True)))
    return (u, before["joint"]), (v, behind["joint"])
