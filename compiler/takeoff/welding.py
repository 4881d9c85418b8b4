"""The welds of a hookup: which there are, their numbers, and the metal in each."""

from __future__ import annotations

from collections.abc import Iterator, Set
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache

from ..catalogue.dimensions import PipeWall, steel_pipe
from ..catalogue.welding import (
    Groove,
    cap_volume,
    density,
    deposition,
    groove,
    groove_volume,
    layers,
    slip_on_legs,
    slip_on_volume,
    socket_volume,
)
from ..model.hookup import Component, Hookup, Joint
from ..model.size import Size
from ..model.span import Origin
from ..model.table import NOT_IN_TABLES, Unknown
from ..model.welding import Filler, Welding
from .pieces_of_pipe import is_cut_pipe

#: Joint -> kind of weld. A slip-on flange has two fillets, and counts as one joint.
KINDS = {"butt weld": "butt", "slip-on weld": "slip-on pair", "socket weld": "socket"}
BRANCH = "branch"


@dataclass(frozen=True, slots=True)
class Deposit:
    """Weld metal of one pass (empty: the whole weld) in pounds, and what lays it down."""

    name: str
    filler: Filler
    metal: float | Unknown

    @property
    def bought(self) -> float | Unknown:
        """Pounds of rod or wire to buy for it."""
        share = deposition()[self.filler.process]
        return NOT_IN_TABLES if share is None or isinstance(self.metal, Unknown) else self.metal / share


@dataclass(frozen=True, slots=True)
class Weld:
    """One weld. `number` counts through the hookup in the order of its joints; `joint` is None for a branch weld.

    `wall` is None where the pipe is not in the tables; `deposits` are its passes, or one for the whole of it.
    """

    number: int
    kind: str
    size: Size
    branch_size: Size | None
    schedule: str
    wall: Fraction | None
    field: bool
    between: tuple[Component, Component]
    line: str
    joint: Joint | None
    prep: str
    deposits: tuple[Deposit, ...]
    origin: Origin
    why: str

    @property
    def metal(self) -> float | Unknown:
        """Pounds of weld metal."""
        return total(deposit.metal for deposit in self.deposits)

    @property
    def bought(self) -> float | Unknown:
        """Pounds of rod and wire to buy."""
        return total(deposit.bought for deposit in self.deposits)


@dataclass(slots=True)
class _Found:
    """A weld before it has its number and its metal."""

    place: tuple[int, int]
    kind: str
    ends: tuple[str, str]
    joint: Joint
    size: Size
    branch_size: Size | None = None
    origin: Origin = field(default=())


def welds_of(hookup: Hookup, in_field: Set[int] | None = None) -> list[Weld]:
    """Every weld of a hookup, in the order of its joints; a branch weld stands behind the joint before its outlet.

    `in_field`: the `order` of each joint that is welded in place, where more of them are than `field_welds` finds.
    """
    in_field = field_welds(hookup) if in_field is None else in_field
    return [
        _weld(hookup, number, found, _is_in_field(hookup, found, in_field))
        for number, found in enumerate(sorted(_find(hookup), key=lambda found: found.place), 1)
    ]


def _is_in_field(hookup: Hookup, found: _Found, in_field: Set[int]) -> bool:
    if found.kind == BRANCH:  # made where its pipe is made up
        return _made_in_field(hookup, found.joint)
    return found.joint.order in in_field


def _made_in_field(hookup: Hookup, joint: Joint) -> bool:
    return joint.line in hookup.lines and hookup.lines[joint.line].spec.made_in == "field"


def total(amounts: Iterator[float | Unknown]) -> float | Unknown:
    """A sum that is not known where one of its parts is not."""
    made = 0.0
    for amount in amounts:
        if isinstance(amount, Unknown):
            return amount
        made += amount
    return made


def _find(hookup: Hookup) -> Iterator[_Found]:
    for u, v, joint in hookup.joints():
        if joint.kind in KINDS:
            yield _Found((joint.order, 0), KINDS[joint.kind], (u, v), joint, joint.end_a.size, origin=joint.origin)
        outlet = hookup.component(v)
        if joint.port_b == "in" and outlet.kind.ports == "tee" and is_cut_pipe(outlet):
            yield _Found((joint.order, 1), BRANCH, (v, v), joint, outlet.size, outlet.branch_size, outlet.origin)


def field_welds(hookup: Hookup) -> set[int]:
    """The `order` of each joint that is welded in place: at a main, at a coil, at the far end of a field fit, and of
    specs that are made in the field.

    A field-fit piece is cut to what is found on the day: its end downstream is the one left open for that, or the
    other end where the one downstream is no weld. Common practice, no source.
    """
    beside: dict[tuple[str, str], tuple[str, str, Joint]] = {}
    made = set()
    for u, v, joint in hookup.joints():
        beside[u, joint.port_a] = (v, joint.port_b, joint)
        beside[v, joint.port_b] = (u, joint.port_a, joint)
        fixed = {hookup.component(id).kind.ports for id in (u, v)} & {"main", "coil"}
        if joint.kind in KINDS and (fixed or _made_in_field(hookup, joint)):
            made.add(joint.order)
    for component in hookup.components():
        if component.pipe is None or not component.pipe.field_fit:
            continue
        for port in ("out", "in"):
            end = _end_of_piece(component.id, port, beside)
            if end is not None and end.kind in KINDS:
                made.add(end.order)
                break
    return made


def _end_of_piece(id: str, port: str, beside: dict[tuple[str, str], tuple[str, str, Joint]]) -> Joint | None:
    """The joint at one end of a piece of pipe, past the outlets on it."""
    there = beside.get((id, port))
    while there is not None and there[2].kind == "same piece":
        other, came_in, _ = there
        there = beside.get((other, "out" if came_in == "in" else "in"))
    return None if there is None else there[2]


def _weld(hookup: Hookup, number: int, found: _Found, in_field: bool) -> Weld:
    joint, spec = found.joint, hookup.lines[found.joint.line].spec
    u, v = (hookup.component(id) for id in found.ends)
    row = spec.row(found.size)
    schedule = row.wall if row is not None else ""
    pipe = steel_pipe(found.size, schedule)
    prep, volume, why = "", None, "the wall of this pipe is not in the tables"
    by_pass: dict[str, float] | None = None
    if found.kind == BRANCH:
        why = "the weld of an outlet follows its maker's own bevel, which no table here gives"
    elif pipe is not None:
        ends = (joint.end_a, joint.end_b)
        if found.kind == "butt":
            prep, volume, by_pass, why = _butt(pipe, (ends[0].form, ends[1].form), spec.welding, spec.weld_gap)
        elif found.kind == "socket":
            prep, volume, why = "cut square", socket_volume(pipe.od, pipe.wall), "one fillet of 1.09 times the wall"
        else:
            flange = u if u.kind.group == "flanges" else v
            rating = next((end.rating for end in flange.ends.values() if end.rating), "")
            prep, volume, why = _slip_on(pipe, found.size, rating)
    weight = density(joint.end_a.metal) if joint.end_a.metal == joint.end_b.metal else None
    if volume is not None and weight is None:
        why = f"{joint.end_a.metal} to {joint.end_b.metal}: the weight of its weld metal is not in the tables"
    deposits = _deposits(found.kind, spec.welding, volume, by_pass, weight)
    return Weld(
        number,
        found.kind,
        found.size,
        found.branch_size,
        schedule,
        pipe.wall if pipe is not None else None,
        in_field,
        (u, v),
        joint.line,
        None if found.kind == BRANCH else joint,
        prep,
        deposits,
        tuple(dict.fromkeys((*u.origin[:1], *v.origin[:1], *found.origin, *spec.origin))),
        why,
    )


def _deposits(
    kind: str, how: Welding, volume: float | None, by_pass: dict[str, float] | None, weight: float | None
) -> tuple[Deposit, ...]:
    """What lies in one weld: pass by pass where the spec says passes and the layers are known."""
    if kind != "butt":
        name = "fillet" if kind in ("slip-on pair", "socket") and "fillet" in dict(how.passes) else ""
        filler = how.pass_filler("fillet")
        return (Deposit(name, filler, NOT_IN_TABLES if volume is None or weight is None else volume * weight),)
    groove_passes = [(name, filler) for name, filler in how.passes if name != "fillet"]
    if not groove_passes:
        return (Deposit("", how.filler, NOT_IN_TABLES if volume is None or weight is None else volume * weight),)
    if by_pass is None or weight is None:
        return tuple(Deposit(name, filler, NOT_IN_TABLES) for name, filler in groove_passes)
    return tuple(Deposit(name, filler, by_pass[name] * weight) for name, filler in groove_passes)


# One answer a distinct joint: a job has few of them, many times over.


@cache
def _butt(
    pipe: PipeWall, forms: tuple[str, str], how: Welding, gap: Fraction
) -> tuple[str, float | None, dict[str, float] | None, str]:
    cut = groove(pipe.wall, forms, how, gap)
    if cut is None:
        return "compound bevel", None, None, "walls above 0.88 in take a compound bevel, which is not in the tables"
    volume = groove_volume(pipe.od, cut) + cap_volume(pipe.od, cut)
    why = f"groove {groove_volume(pipe.od, cut):.3f} cu in and cap {cap_volume(pipe.od, cut):.3f} cu in"
    by_pass = layers(pipe.od, cut, how.passes)
    if by_pass is None and any(name != "fillet" for name, _ in how.passes):
        why += "; how thick each pass is laid is not said"
    return _prep(cut), volume, by_pass, why


@cache
def _slip_on(pipe: PipeWall, nps: Size, rating: str) -> tuple[str, float | None, str]:
    legs = slip_on_legs(nps, rating, pipe.wall)
    if legs is None:
        return "cut square", None, f"the hub of a slip-on flange of class {rating} is not in the tables"
    why = f"fillets of {float(legs[0]):.3f} in at the hub and {float(legs[1]):.3f} in inside"
    return "cut square", slip_on_volume(nps, rating, pipe.od, pipe.wall), why


def _prep(cut: Groove) -> str:
    gap = f"gap {cut.gap} in"
    if cut.square:
        return f"cut square, {gap}"
    sides = " and ".join(_degrees(bevel) for bevel in dict.fromkeys(cut.bevels))
    return f"bevel {sides} deg, root face {cut.root_face} in, {gap}"


def _degrees(angle: Fraction) -> str:
    whole, part = divmod(angle, 1)
    return f"{whole}-{part}" if part and whole else str(angle)
