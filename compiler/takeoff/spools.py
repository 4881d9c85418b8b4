"""Spools: what is made in the shop in one piece, by what comes apart, what is welded in place, and given limits."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import reduce

from ..analysis.weighing import Scales, Sum, is_weighed, named
from ..model.declared import SpoolLimits
from ..model.hookup import NOT_MADE_UP, Component, Hookup, Joint
from ..model.measured import Point
from ..model.table import NOT_MEASURED, Unknown
from .bodies import Body, bodies
from .parting import Beside, Load, past, weld_to_part
from .pieces_of_pipe import is_cut_pipe
from .welding import KINDS, Weld, field_welds

#: Joints that come apart, or were never made.
_PARTS = ("bolted", "grooved", "clamped", NOT_MADE_UP)
_LETTERS = {"supply": "S", "return": "R"}


@dataclass(frozen=True, slots=True)
class Spool:
    """One spool. `components` in flow order; places and centre are those of its island.

    `load.box` is that round the pieces whose places are known, None if those of pipe or a flange of it are not;
    `unplaced` names those it leaves out. `dry` is their weight. `centre` is what is known of it, from `start`, where
    its first piece begins, along right, toward and up.
    """

    mark: str
    components: tuple[Component, ...]
    load: Load
    dry: Sum
    unplaced: tuple[str, ...]
    start: Point | None
    centre: Point | Unknown


@dataclass(slots=True)
class Spools:
    """All spools of a hookup, in flow order. `field_welds` are the `order`s of the welds that are made in place."""

    spools: list[Spool]
    field_welds: set[int]
    mark_of: dict[str, str] = field(default_factory=dict)  # by component; what is loose has none

    def of_weld(self, weld: Weld) -> str:
        """The mark of the spool that a weld is in; of both spools that it joins in the field."""
        marks = (self.mark_of.get(component.id, "") for component in weld.between)
        return " / ".join(dict.fromkeys(mark for mark in marks if mark))


def spools_of(hookup: Hookup, scales: Scales, limits: SpoolLimits | None = None) -> Spools:
    """The spools of a hookup: what is joined for good, and holds pipe or a weld. What is made in the field is in none.

    Parted at bolted and grooved joints, at the downstream side of a union, at coils and mains, at field welds, and at
    welds of its own where it is past the limits.
    """
    in_field = field_welds(hookup)
    beside = _joined(hookup, in_field, asked=limits is not None)
    where = bodies(hookup)
    places = _places(hookup)
    found: list[tuple[str, ...]] = []
    todo = [tuple(ids) for ids in _groups(sorted(beside, key=places.__getitem__), beside)]
    while todo:
        ids = todo.pop()
        loads = _loads(hookup, ids, where, scales)
        weld = weld_to_part(ids, beside, loads, limits) if limits is not None else None
        if weld is None:
            if _whole(ids, beside, loads).is_spool:
                found.append(ids)
            continue
        in_field.add(weld.order)
        for id in ids:
            beside[id] = [(other, joint) for other, joint in beside[id] if joint is not weld]
        todo.extend(tuple(half) for half in _groups(ids, beside))
    found.sort(key=lambda ids: places[ids[0]])
    made = Spools([], in_field)
    for mark, ids in zip(_marks(hookup, found), found, strict=True):
        made.spools.append(_spool(hookup, mark, ids, beside, where, scales))
        made.mark_of.update(dict.fromkeys(ids, mark))
    return made


# -- what holds together -------------------------------------------------------------------------------------------


def _joined(hookup: Hookup, in_field: set[int], asked: bool) -> dict[str, list[tuple[str, Joint]]]:
    """Every component of the piping that is made in the shop, with what it is joined to for good."""
    beside: dict[str, list[tuple[str, Joint]]] = {
        c.id: [] for c in hookup.components() if is_weighed(c) and not _in_place(hookup, c, asked)
    }
    parted = {id(joint) for _, _, joint in _parted(hookup, in_field)}
    held = {v for _, v, joint in hookup.joints() if id(joint) not in parted}
    for u, v, joint in hookup.joints():
        if (
            id(joint) in parted
            or u not in beside
            or v not in beside
            or (hookup.component(u).kind.can("breaks") and u in held)
        ):
            continue
        beside[u].append((v, joint))
        beside[v].append((u, joint))
    return beside


def _in_place(hookup: Hookup, component: Component, asked: bool) -> bool:
    """Whether a component is made up in the field: as its spec says, else soldered and threaded copper is, unless the
    file has limits for spools. Common practice, no source.
    """
    if component.line not in hookup.lines:
        return False
    spec = hookup.lines[component.line].spec
    row = spec.row(component.size)
    if spec.made_in or row is None:
        return spec.made_in == "field"
    return row.metal == "copper" and row.joined in ("soldered", "threaded") and not asked


def _parted(hookup: Hookup, in_field: set[int]) -> Iterator[tuple[str, str, Joint]]:
    for u, v, joint in hookup.joints():
        ends = hookup.component(u), hookup.component(v)
        welded_in_place = joint.kind in KINDS and joint.order in in_field
        if joint.kind in _PARTS or welded_in_place or not all(map(is_weighed, ends)):
            yield u, v, joint


def _groups(ids: Sequence[str], beside: Beside) -> list[list[str]]:
    """Connected groups, in the order of `ids`, inside as well."""
    place = {id: number for number, id in enumerate(ids)}
    seen: set[str] = set()
    made = []
    for id in ids:
        if id in seen:
            continue
        seen.add(id)
        group, stack = [], [id]
        while stack:
            at = stack.pop()
            group.append(at)
            fresh = {other for other, _ in beside[at] if other not in seen}
            seen |= fresh
            stack.extend(fresh)
        made.append(sorted(group, key=place.__getitem__))
    return made


def _places(hookup: Hookup) -> dict[str, tuple[int, int]]:
    """Where each component stands in the flow, line by line."""
    made: dict[str, tuple[int, int]] = {}
    for u, v, joint in hookup.joints():
        for id, side in ((u, 0), (v, 1)):
            made[id] = min(made.get(id, (joint.order, side)), (joint.order, side))
    count = len(made)
    return {c.id: made.get(c.id, (1 << 60, number)) for number, c in enumerate(hookup.components(), count)}


# -- what a group amounts to ---------------------------------------------------------------------------------------


def _loads(hookup: Hookup, ids: Sequence[str], where: Mapping[str, Body], scales: Scales) -> dict[str, Load]:
    """Box, weight and pipe of each component; the box only of those in the island of the first pipe that has one."""
    island = _island(hookup, ids, where)
    made = {}
    for id in ids:
        component, body = hookup.component(id), where.get(id)
        dry = scales.weigh(component).dry
        box = body.box if body is not None and body.island == island else None
        made[id] = Load(box, 0.0 if isinstance(dry, Unknown) else dry, int(is_cut_pipe(component)))
    return made


def _island(hookup: Hookup, ids: Sequence[str], where: Mapping[str, Body]) -> int | None:
    placed = [id for id in ids if id in where]
    first = next((id for id in placed if is_cut_pipe(hookup.component(id))), placed[0] if placed else None)
    return where[first].island if first is not None else None


def _whole(ids: Sequence[str], beside: Beside, loads: Mapping[str, Load]) -> Load:
    welds = {id(joint) for at in ids for _, joint in beside[at] if joint.kind in KINDS}
    return reduce(Load.with_, (loads[at] for at in ids), Load(welds=len(welds)))


def _spool(
    hookup: Hookup, mark: str, ids: Sequence[str], beside: Beside, where: Mapping[str, Body], scales: Scales
) -> Spool:
    components = tuple(map(hookup.component, ids))
    island = _island(hookup, ids, where)
    loads = _loads(hookup, ids, where, scales)
    dry, moment = Sum(), [0.0, 0.0, 0.0]
    unplaced: list[str] = []
    weighed, unknown = 0.0, None
    for component in components:
        body, weight = where.get(component.id), scales.weigh(component).dry
        dry.add(weight, named(component))
        placed = body is not None and body.island == island
        if not placed:
            unplaced.append(named(component))
        if component.pipe is not None and (not placed or isinstance(weight, Unknown)):
            unknown = weight if placed and isinstance(weight, Unknown) else NOT_MEASURED
        if body is not None and placed and not isinstance(weight, Unknown):
            weighed += weight
            moment = [m + weight * at for m, at in zip(moment, body.centre, strict=True)]
    load = _whole(ids, beside, loads)
    if any(_makes_the_box(c) and (c.id not in where or where[c.id].island != island) for c in components):
        load = Load(None, load.pounds, load.pipes, load.welds)
    first = where.get(ids[0])
    start = first.start if first is not None and first.island == island else None
    centre: Point | Unknown = NOT_MEASURED
    if unknown is not None:
        centre = unknown
    elif weighed and start is not None:
        centre = (moment[0] / weighed - start[0], moment[1] / weighed - start[1], moment[2] / weighed - start[2])
    return Spool(mark, components, load, dry, tuple(unplaced), start, centre)


def _makes_the_box(component: Component) -> bool:
    """Whether the box round a spool says nothing without it: pipe, the pipe under an outlet, and flanges."""
    return is_cut_pipe(component) or component.kind.group == "flanges"


# -- marks ---------------------------------------------------------------------------------------------------------


def _marks(hookup: Hookup, groups: Sequence[Sequence[str]]) -> list[str]:
    """`AH-*-S-CC-02`: unit, line (S supply, R return, else the first letter of its word), its coil, number in flow."""
    counts: dict[str, int] = {}
    made = []
    for ids in groups:
        line = next((hookup.lines[c.line] for c in map(hookup.component, ids) if c.line in hookup.lines), None)
        words = [_unit(hookup)]
        if line is not None:
            words.append(_LETTERS.get(line.word, line.word[:1].upper()))
            words.extend([line.coil] if line.coil else [])
        prefix = "-".join(words)
        counts[prefix] = counts.get(prefix, 0) + 1
        made.append(f"{prefix}-{counts[prefix]:02d}")
    return made


def _unit(hookup: Hookup) -> str:
    """The tag of the units with a star for their number; where tags do not end in it, the typical's name and a star."""
    tags = {
        f"{unit.tag.removesuffix(unit.number)}*" if unit.number and unit.tag.endswith(unit.number) else unit.tag
        for unit in hookup.units
    }
    return tags.pop() if len(tags) == 1 else f"{hookup.name}-*"


# -- limits --------------------------------------------------------------------------------------------------------


def verdict(spool: Spool, limits: SpoolLimits) -> str:
    """How a spool stands to the limits: `within`, what it is past, or what nobody can tell."""
    over = [_PAST[name] for name, share in past(spool.load, limits).items() if share > 1]
    if over:
        return f"{' and '.join(over)}, and no weld makes two spools of it"
    if spool.load.box is None and (limits.length_in is not None or limits.door_in is not None):
        return "cannot tell: not measured"
    if limits.weight_lb is not None and not spool.dry.whole:
        return "within as far as its weight is known"
    return "within"


_PAST = {"length": "too long", "weight": "too heavy", "door": "too wide for the opening"}
