"""Lines that are too large for a page, cut into sheets at match lines.

ISO 6412 leaves the way of it open; that both sheets show the cut with one letter and name each other is common practice
(no source). A cut goes through a run of pipe: its length from centre to centre stands on the sheet before it, and in
brackets, as an auxiliary dimension (ISO 129-1, from memory), on the one behind it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from .iso_axes import Flat, project
from .iso_layout import rough
from .iso_legs import Leg, Node
from .wording import lettered

#: The largest figure that prints on letter and A4, the less of both, on its side or upright, with its letters at
#: 6 points or more: 720 x 950 px can be printed on, 70 px of them go to the words above it, letters are 9 px.
_SCALE = 6 / 6.75
_ROOMS = ((950 / _SCALE, (720 - 70) / _SCALE), (720 / _SCALE, (950 - 70) / _SCALE))
#: What labels and dimensions add to the extent of the pipes, more or less.
_LABELS = 150.0

#: Until sheets have their numbers: what it comes to where there are two.
_BEFORE, _BEHIND = "match line A, see sheet 1", "match line A, see sheet 2"

Fits = Callable[[Sequence[Leg]], bool]


def fits(width: float, height: float) -> bool:
    """Whether a figure prints on a page with letters that can be read."""
    return any(width <= wide and height <= high for wide, high in _ROOMS)


def is_too_large(legs: Sequence[Leg]) -> bool:
    """Whether their pipes alone are too large for a page: the figure need not be drawn to know."""
    xs, ys = zip(*map(project, rough(legs).values()), strict=True)
    return not fits(max(xs) - min(xs), max(ys) - min(ys))


def sheets(legs: Sequence[Leg], fit: Fits) -> list[Sequence[Leg]]:
    """The legs of every sheet: all on one if that is large enough, else cut in two, and those again."""
    if fit(legs):
        return [legs]
    halves = _halves(legs)
    return [legs] if halves is None else [sheet for half in halves for sheet in sheets(half, fit)]


def letter(parts: Sequence[Sequence[Leg]]) -> None:
    """Give match lines their letters, each with the number of the sheet on its other side. Two sheets have them."""
    first = {id(leg.straight): number for number, part in enumerate(parts, 1) for leg in part if leg.match_b}
    second = {id(leg.straight): number for number, part in enumerate(parts, 1) for leg in part if leg.match_a}
    letters = {straight: lettered(n) for n, straight in enumerate(first)}
    for part in parts:
        for leg in part:
            at = id(leg.straight)
            if leg.match_a:
                leg.match_a = f"match line {letters[at]}, see sheet {first[at]}"
            if leg.match_b:
                leg.match_b = f"match line {letters[at]}, see sheet {second[at]}"


def _halves(legs: Sequence[Leg]) -> tuple[list[Leg], list[Leg]] | None:
    """Cut at the run of pipe that leaves the larger half smallest."""
    places = {node: project(at) for node, at in rough(legs).items()}
    best: tuple[float, int] | None = None
    for number, leg in enumerate(legs):
        if not leg.main or leg.run is None or leg.aside or leg.stub or leg.match_a or leg.match_b:
            continue
        near, far = _sides(legs, leg)
        if not near or not far:
            continue
        size = max(_extent(near, places), _extent(far, places))
        if best is None or size < best[0] - 0.01:
            best = size, number
    if best is None:
        return None
    leg = legs[best[1]]
    near, far = _sides(legs, leg)
    before, behind = _cut(leg)
    put = {id(leg): before}
    one = [put.get(id(own), own) for own in legs if own is leg or own in near]
    two = [behind, *(own for own in legs if own in far)]
    return one, two


def _sides(legs: Sequence[Leg], cut: Leg) -> tuple[list[Leg], list[Leg]]:
    """The legs that hang together with either end of one; none where they are the same or some hang on neither."""
    near, far = (_reached(legs, cut, node) for node in (cut.a, cut.b))
    if set(map(id, near)) & set(map(id, far)) or len(near) + len(far) + 1 < len(legs):
        return [], []
    return near, far


def _reached(legs: Sequence[Leg], cut: Leg, start: Node) -> list[Leg]:
    at: dict[Node, list[Leg]] = {}
    for leg in legs:
        if leg is not cut:
            at.setdefault(leg.a, []).append(leg)
            at.setdefault(leg.b, []).append(leg)
    found: dict[int, Leg] = {}
    todo, seen = [start], {start}
    while todo:
        for leg in at.get(todo.pop(), ()):
            found[id(leg)] = leg
            for node in (leg.a, leg.b):
                if node not in seen:
                    seen.add(node)
                    todo.append(node)
    return list(found.values())


def _extent(legs: Sequence[Leg], places: Mapping[Node, Flat]) -> float:
    """How much of the best room they take, 1 for all of it."""
    at = [places[node] for leg in legs for node in (leg.a, leg.b)]
    xs, ys = [x for x, _ in at], [y for _, y in at]
    wide, high = max(xs) - min(xs) + _LABELS, max(ys) - min(ys) + _LABELS
    return min(max(wide / room[0], high / room[1]) for room in _ROOMS)


def _cut(leg: Leg) -> tuple[Leg, Leg]:
    """A leg up to the middle of its run of pipe, and from there on."""
    run = leg.run
    assert run is not None
    at = leg.bits.index(run)
    node = (leg.a[0], f"{leg.a[1]} {leg.straight.port_a} cut")
    before = replace(leg, bits=leg.bits[: at + 1], b=node, whole=False, beyond="", match_b=_BEHIND)
    rest = replace(run, component=None, weld=None, joint=None, px=0.0)
    behind = replace(leg, bits=[rest, *leg.bits[at + 1 :]], a=node, whole=False, before="", match_a=_BEFORE)
    return before, behind
