"""Parting a group of joined components at one of its welds, so that both halves come nearest to given limits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from typing import TypeAlias

from ..model.declared import SpoolLimits
from ..model.hookup import Joint
from .bodies import Box
from .welding import KINDS

#: By component: what it is joined to, and the joint.
Beside: TypeAlias = Mapping[str, Sequence[tuple[str, Joint]]]


@dataclass(frozen=True, slots=True)
class Load:
    """What some components amount to, as far as it is known: the box round them, pounds, pieces of pipe and welds."""

    box: Box | None = None
    pounds: float = 0.0
    pipes: int = 0
    welds: int = 0

    def with_(self, other: Load) -> Load:
        """Both together."""
        box = self.box.with_(other.box) if self.box is not None and other.box is not None else self.box or other.box
        return Load(box, self.pounds + other.pounds, self.pipes + other.pipes, self.welds + other.welds)

    @property
    def is_spool(self) -> bool:
        """Whether it is made in the shop at all: it holds pipe or a weld."""
        return bool(self.pipes or self.welds)


def past(load: Load, limits: SpoolLimits) -> dict[str, float]:
    """How much of each limit a load takes up, by `length`, `weight` and `door`; above 1 it is past it."""
    made = {}
    if load.box is not None:
        short, middle, long = sorted(load.box.sides)
        if limits.length_in is not None:
            made["length"] = long / float(limits.length_in)
        if limits.door_in is not None:
            narrow, wide = limits.door_in
            made["door"] = max(short / float(narrow), middle / float(wide))
    if limits.weight_lb is not None:
        made["weight"] = load.pounds / limits.weight_lb
    return made


def taken_up(load: Load, limits: SpoolLimits) -> float:
    """The limit that is taken up most, as a share of it."""
    return round(max(past(load, limits).values(), default=0.0), 9)


def weld_to_part(ids: Sequence[str], beside: Beside, loads: Mapping[str, Load], limits: SpoolLimits) -> Joint | None:
    """The weld of a connected group to part it at; None if it is within the limits or no weld makes two spools of it.

    The more even the halves, the better. What no parting helps, a piece of pipe that is past the limits by itself,
    is left with its fittings: then there must be pipe in both halves. Takes time in proportion to the group.
    """
    whole = reduce(Load.with_, (loads[id] for id in ids))
    if taken_up(whole, limits) <= 1:
        return None
    tree = _Tree(ids, beside)
    hopeless = any(taken_up(piece, limits) > 1 for piece in _pieces(ids, beside, loads))
    best: tuple[float, int, Joint] | None = None
    for place, joint, below, rest in tree.halves([loads[id] for id in tree.order]):
        enough = (below.pipes and rest.pipes) if hopeless else (below.is_spool and rest.is_spool)
        if joint.kind not in KINDS or not enough:
            continue
        found = (max(taken_up(below, limits), taken_up(rest, limits)), place, joint)
        if best is None or found[:2] < best[:2]:
            best = found
    return None if best is None else best[2]


class _Tree:
    """A tree through a group, depth first, so that what hangs on a joint is one stretch of `order`."""

    def __init__(self, ids: Sequence[str], beside: Beside) -> None:
        self.order: list[str] = []
        self.parent: list[int] = []
        self.joint: list[Joint | None] = []
        self.back: list[tuple[int, int, Joint]] = []  # joints that close a ring: later and earlier place
        place: dict[str, int] = {}
        used: set[int] = set()
        stack: list[tuple[str, int, Joint | None]] = [(ids[0], -1, None)]
        while stack:
            at, parent, joint = stack.pop()
            if joint is not None:
                if id(joint) in used:
                    continue
                used.add(id(joint))
            if joint is not None and at in place:
                self.back.append((max(parent, place[at]), min(parent, place[at]), joint))
                continue
            place[at] = len(self.order)
            self.order.append(at)
            self.parent.append(parent)
            self.joint.append(joint)
            stack.extend((other, place[at], one) for other, one in beside[at] if id(one) not in used)

    def halves(self, loads: Sequence[Load]) -> Iterator[tuple[int, Joint, Load, Load]]:
        """Every joint that parts the group, with what hangs on it and all the rest, and its place in the order."""
        count = len(self.order)
        own, rings, last = list(loads), [0] * count, list(range(1, count + 1))
        for place, joint in enumerate(self.joint):
            if joint is not None and joint.kind in KINDS:
                own[place] = own[place].with_(Load(welds=1))
        for later, earlier, joint in self.back:
            rings[later] += 1
            rings[earlier] -= 1
            if joint.kind in KINDS:
                own[later] = own[later].with_(Load(welds=1))
        before = _running(own)
        behind = _running(own[::-1])[::-1]
        below = list(own)
        for place in range(count - 1, 0, -1):
            up = self.parent[place]
            below[up] = below[up].with_(below[place])
            rings[up] += rings[place]
            last[up] = max(last[up], last[place])
        for place in range(1, count):
            joint = self.joint[place]
            if joint is None or rings[place]:
                continue
            weld = Load(welds=-1 if joint.kind in KINDS else 0)
            yield place, joint, below[place].with_(weld), before[place].with_(behind[last[place]])


def _running(loads: Sequence[Load]) -> list[Load]:
    """What the first none, one, two … of some loads amount to."""
    made = [Load()]
    for load in loads:
        made.append(made[-1].with_(load))
    return made


def _pieces(ids: Iterable[str], beside: Beside, loads: Mapping[str, Load]) -> Iterator[Load]:
    """What cannot be parted: each component, and runs with outlets that are one piece of pipe."""
    seen: set[str] = set()
    for id in ids:
        if id in seen:
            continue
        seen.add(id)
        stack, load = [id], Load()
        while stack:
            at = stack.pop()
            load = load.with_(loads[at])
            fresh = [other for other, joint in beside[at] if joint.kind == "same piece" and other not in seen]
            seen.update(fresh)
            stack.extend(fresh)
        yield load
