"""Where the corners of an isometric lie on its sheet: how long each leg is drawn, so that all on it has room and pipes
keep clear of each other. Nothing is to scale; what is longer is drawn longer, up to a point."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from fractions import Fraction

from .iso_axes import Flat, Space, plus, project
from .iso_legs import Leg, Node

#: Of a run of pipe: its least length on the sheet, what an inch adds to it, its greatest, and that of one not measured.
_LEAST, _AN_INCH, _GREATEST, _NOT_MEASURED = 44.0, 0.9, 130.0, 84.0
_WITH_DIMENSION, _STUB, _MOVE = 64.0, 34.0, 20.0
_OFFSET = 96.0
#: Room along a leg for one label.
_LABEL = 19.0
#: How near two pipes may come, and how near they leave room for labels between them, pixels.
_CLEAR, _ROOM = 13.0, 36.0
_FACTORS = (1.3, 1.7, 2.3, 3.2)
_SHORTER = (0.0, 0.25, 0.5, 0.75)
_ROUNDS = 4


def lay_out(legs: Sequence[Leg]) -> dict[Node, Space]:
    """The places of all nodes, in the space of the drawing; `length` of the legs and `start` of their bits are set.

    Where a leg comes round to a node that has its place already, its own end gets a node of its own: a way that closes
    does so only to scale, which nothing here is.
    """
    order = _shortest(legs)
    _keep_clear(order)
    for leg in order:
        _spread(leg)
    return _places(order)


def rough(legs: Sequence[Leg]) -> dict[Node, Space]:
    """About where they come to lie, pipes maybe in each other's way: enough to know how much room they take."""
    return _places(_shortest(legs))


def _shortest(legs: Sequence[Leg]) -> list[Leg]:
    """The legs in the order in which they are placed, each as short as can be."""
    for leg in legs:
        if leg.run is not None:
            leg.run.px = 0.0
        leg.length = _least(leg)
    return _tree(legs)


def _keep_clear(order: Sequence[Leg]) -> None:
    """Draw legs longer until pipes are out of each other's way, then as short again as that allows."""
    least = [leg.length for leg in order]
    worst = _cost(order, _places(order))
    for _ in range(_ROUNDS):
        before = worst
        for leg in order:
            if worst < 1.0:
                break
            best = kept = leg.length
            for factor in _FACTORS:
                leg.length = kept * factor
                cost = _cost(order, _places(order)) + 0.1 * (factor - 1)
                if cost < worst - 0.2:
                    worst, best = cost, leg.length
            leg.length = best
        if worst >= before:
            break
    worst = _cost(order, _places(order))
    for _ in range(_ROUNDS):
        for leg, short in zip(order, least, strict=True):
            long = leg.length
            for share in _SHORTER if long > short + 1.0 else ():
                leg.length = short + share * (long - short)
                if _cost(order, _places(order)) <= worst:
                    break
                leg.length = long


def is_broken(leg: Leg) -> bool:
    """Whether a leg is drawn with a break: its run is not measured, or longer than the sheet shows it."""
    run = leg.run
    if run is None:
        return False
    length = run.part.length
    if not isinstance(length, Fraction):
        return not isinstance(leg.straight.centres, Fraction)
    return _LEAST + _AN_INCH * float(length) > _GREATEST


def _tree(legs: Sequence[Leg]) -> list[Leg]:
    """The legs in an order in which each begins or ends at a node that one before it has placed."""
    order: list[Leg] = []
    placed: set[Node] = set()
    at: dict[Node, list[int]] = {}
    for number, leg in enumerate(legs):
        at.setdefault(leg.a, []).append(number)
        at.setdefault(leg.b, []).append(number)
    done: set[int] = set()
    for first, leg in enumerate(legs):
        if first in done:
            continue
        placed.add(leg.a)
        queue = [first]
        while queue:
            number = min(queue)
            queue.remove(number)
            if number in done:
                continue
            done.add(number)
            one = legs[number]
            if one.a in placed and one.b in placed:
                one.beyond = one.beyond or "itself"
                one.b = (one.b[0], f"{one.b[1]} again {number}")
            order.append(one)
            for node in (one.a, one.b):
                placed.add(node)
                queue.extend(n for n in at.get(node, ()) if n not in done)
    return order


def _places(order: Sequence[Leg]) -> dict[Node, Space]:
    made: dict[Node, Space] = {}
    right = 0.0
    for leg in order:
        if leg.a in made:
            made[leg.b] = plus(made[leg.a], leg.unit, leg.length)
        elif leg.b in made:
            made[leg.a] = plus(made[leg.b], leg.unit, -leg.length)
        else:  # the first of what nothing joins to the others
            made[leg.a] = (right, -right, 0.0)
            made[leg.b] = plus(made[leg.a], leg.unit, leg.length)
        right = max(right, made[leg.b][0] + 150.0)
    return made


def _least(leg: Leg) -> float:
    if leg.stub:
        return _STUB
    own = sum(bit.px for bit in leg.bits)
    run = leg.run
    if run is not None:
        length = run.part.length
        pipe = run.component.pipe if run.component is not None else None
        on_it = sum(1 for move in pipe.moves if move.mark or move.through) if pipe is not None else 0
        own = _labelled(leg) + max(
            min(_LEAST + _AN_INCH * max(float(length), 0.0), _GREATEST)
            if isinstance(length, Fraction)
            else _NOT_MEASURED,
            _MOVE * (on_it + 1),
        )
    own = max(own, _labelled(leg) if run is None else 0.0, _OFFSET if leg.aside else 0.0)
    return max(own, _WITH_DIMENSION if leg.size is not None or (leg.main and leg.whole) else 0.0, 1.0)


def _labelled(leg: Leg) -> float:
    """How long the bits of a leg are, without its run, with room for the labels on them."""
    labels = sum(1 for bit in leg.bits if bit.weld is not None or bit.part.sort == "piece")
    return max(sum(bit.px for bit in leg.bits), _LABEL * labels)


def _spread(leg: Leg) -> None:
    """Put the bits along the drawn leg: what they leave goes to the run of pipe, but for the room that labels need."""
    own, run = sum(bit.px for bit in leg.bits), leg.run
    left = max(leg.length - own, 0.0)
    between = left / max(len(leg.bits) - 1, 1)
    if run is not None:
        between = min(between, (_labelled(leg) - own) / max(len(leg.bits) - 1, 1))
        run.px += left - between * (len(leg.bits) - 1)
    at = 0.0
    for bit in leg.bits:
        bit.start = at
        at += bit.px + between


# -- pipes in each other's way ----------------------------------------------------------------------------------------


def _cost(order: Sequence[Leg], places: Mapping[Node, Space]) -> float:
    """How much pipes are in each other's way: 1 for a crossing in the open, more for what cannot be told apart."""
    flat = {node: project(at) for node, at in places.items()}
    lines = [(leg, flat[leg.a], flat[leg.b]) for leg in order]
    total = 0.0
    for number, (leg, a, b) in enumerate(lines):
        low_x, high_x = min(a[0], b[0]) - _ROOM, max(a[0], b[0]) + _ROOM
        low_y, high_y = min(a[1], b[1]) - _ROOM, max(a[1], b[1]) + _ROOM
        for other, c, d in lines[:number]:
            if (
                max(c[0], d[0]) < low_x
                or min(c[0], d[0]) > high_x
                or max(c[1], d[1]) < low_y
                or min(c[1], d[1]) > high_y
            ):
                continue
            if leg.a in (other.a, other.b) or leg.b in (other.a, other.b):
                total += _folded(leg, a, b, other, c, d)
            else:
                total += _in_the_way(a, b, c, d)
    return total


def _folded(leg: Leg, a: Flat, b: Flat, other: Leg, c: Flat, d: Flat) -> float:
    """Neighbours that leave their node the same way lie on each other."""
    shared = leg.a if leg.a in (other.a, other.b) else leg.b
    at = a if shared == leg.a else b
    one = b if shared == leg.a else a
    two = d if shared == other.a else c
    u, v = (one[0] - at[0], one[1] - at[1]), (two[0] - at[0], two[1] - at[1])
    size = (u[0] ** 2 + u[1] ** 2) ** 0.5 * (v[0] ** 2 + v[1] ** 2) ** 0.5
    return 6.0 if size and (u[0] * v[0] + u[1] * v[1]) / size > 0.95 else 0.0


def _in_the_way(a: Flat, b: Flat, c: Flat, d: Flat) -> float:
    met = crossing(a, b, c, d)
    if met is not None:
        shares = min(met[0], 1 - met[0]), min(met[1], 1 - met[1])
        lengths = _length(a, b), _length(c, d)
        clear = min(share * length for share, length in zip(shares, lengths, strict=True))
        return 1.0 if clear > 1.5 * _CLEAR else 4.0
    near = min(_off(a, c, d), _off(b, c, d), _off(c, a, b), _off(d, a, b))
    return 3.0 if near < _CLEAR else 1.0 if near < _ROOM else 0.0


def crossing(a: Flat, b: Flat, c: Flat, d: Flat) -> tuple[float, float] | None:
    """Where two stretches cross, as the share of each that lies before it; None if they do not, or run side by side."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    turn = ux * vy - uy * vx
    if abs(turn) < 1e-9:
        return None
    s = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / turn
    t = ((c[0] - a[0]) * uy - (c[1] - a[1]) * ux) / turn
    return (s, t) if 0 <= s <= 1 and 0 <= t <= 1 else None


def _length(a: Flat, b: Flat) -> float:
    return math.dist(a, b)


def _off(at: Flat, a: Flat, b: Flat) -> float:
    """How far a place is from a stretch."""
    ux, uy = b[0] - a[0], b[1] - a[1]
    size = ux * ux + uy * uy
    share = max(0.0, min(1.0, ((at[0] - a[0]) * ux + (at[1] - a[1]) * uy) / size)) if size else 0.0
    return math.dist(at, (a[0] + share * ux, a[1] + share * uy))
