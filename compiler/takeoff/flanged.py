"""Flanged joints: what is clamped, the gasket, and the bolts that fit."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from ..catalogue.bolting import BoltSet, bolt_set, kit_washers, lug_screws
from ..catalogue.flanges import FlangeDims, flange
from ..catalogue.takeouts import body_length
from ..model.declared import Spec
from ..model.ends import End
from ..model.hookup import Component, Hookup, Joint
from ..model.size import Size
from ..model.span import Origin

_BODIES = ("lug", "wafer")
#: What seals where no gasket goes in.
SEAT_SEALS = "none: the seat seals"
ADAPTER_SEALS = "none: the adapter seals"


@dataclass(frozen=True, slots=True)
class FlangedJoint:
    """One joint to bolt up: between what, its gaskets and its bolts. `bolts` is None where a table is missing."""

    between: tuple[Component, ...]
    size: Size
    rating: str
    faces: str  # `raised face`, `flat face`
    gaskets: int
    gasket: str  # shape, thickness and material; where there is none, what seals instead
    grades: tuple[str, str]  # of bolts and nuts, as the spec says; empty: it does not
    washers: int  # flange washers, between the seal of a grooved flange adapter and a rubber seat
    gasket_in: Fraction
    bolts: BoltSet | None
    kit: bool
    line: str
    origin: Origin
    why: str


def flanged_joints(hookup: Hookup) -> list[FlangedJoint]:
    """Every bolted joint of a hookup: a lug body has one on each side, a wafer body one in all."""
    made: list[FlangedJoint | None] = []
    wafers: dict[str, tuple[int, list[tuple[Component, End, Joint]]]] = {}  # body -> place in the list, its sides
    for u, v, joint in sorted(hookup.joints(), key=lambda edge: edge[2].order):
        if joint.kind != "bolted":
            continue
        a, b = hookup.component(u), hookup.component(v)
        body = next((c for c, end in ((a, joint.end_a), (b, joint.end_b)) if end.form in _BODIES), None)
        if body is None:
            made.append(_pair(hookup, a, b, joint))
            continue
        neighbour, end = (b, joint.end_b) if body is a else (a, joint.end_a)
        if body.ends["in"].form == "lug":
            made.append(_lug(hookup, body, neighbour, end, joint))
            continue
        if body.id not in wafers:
            wafers[body.id] = (len(made), [])
            made.append(None)
        wafers[body.id][1].append((neighbour, end, joint))
    for id, (place, sides) in wafers.items():
        made[place] = _wafer(hookup, hookup.component(id), sides)
    return [joint for joint in made if joint is not None]


def dims_of(end: End) -> FlangeDims | None:
    """The dimensions of a flanged end."""
    return flange(end.size, end.rating, end.facing, end.metal)


def _gasket(spec: Spec, ends: tuple[End, ...]) -> str:
    """A flat face anywhere takes a full-face gasket, whatever the spec says: docs/rules.md, flange-faces-differ."""
    shape = "full face" if any(end.facing == "FF" for end in ends) else spec.gasket_shape
    return f"{shape}, {_inches(spec.gasket_in)} in, {spec.gasket}"


@cache
def _inches(value: Fraction) -> str:
    return f"{value.numerator}/{value.denominator}" if value.denominator > 1 else str(value.numerator)


def _faces(*ends: End) -> str:
    words = {"RF": "raised face", "FF": "flat face", "": "as made"}
    return " to ".join(dict.fromkeys(words.get(end.facing, end.facing) for end in sorted(ends, key=_class_first)))


def _rating(*ends: End) -> str:
    """`125 on 150`, the lower class first: one joint reads one way."""
    return " on ".join(dict.fromkeys(end.rating for end in sorted(ends, key=_class_first)))


def _class_first(end: End) -> tuple[int, str, str]:
    return (len(end.rating), end.rating, end.facing)


def _pair(hookup: Hookup, a: Component, b: Component, joint: Joint) -> FlangedJoint:
    spec = hookup.lines[joint.line].spec
    one, other = dims_of(joint.end_a), dims_of(joint.end_b)
    sealed = is_adapter(a) or is_adapter(b)
    gaskets = 0 if sealed else 1
    bolts = None
    if one is not None and other is not None:
        bolts = _bolts(one, other, spec.bolts, (spec.gasket_in,) * gaskets, Fraction(0), joint.kit)
    bolts = _with_adapter(bolts) if sealed else bolts
    return FlangedJoint(
        (a, b),
        joint.end_a.size,
        _rating(joint.end_a, joint.end_b),
        _faces(joint.end_a, joint.end_b),
        gaskets,
        _gasket(spec, (joint.end_a, joint.end_b)) if gaskets else ADAPTER_SEALS,
        (spec.bolt_grade, spec.nut_grade),
        0,
        spec.gasket_in,
        bolts,
        joint.kit,
        joint.line,
        (*a.origin[:1], *b.origin[:1], *joint.origin),
        _sum(bolts),
    )


def _seals_itself(body: Component) -> bool:
    seat = (body.ask.seat if body.ask is not None else "") or body.kind.seat
    return seat == "resilient"


def is_adapter(component: Component) -> bool:
    """Whether a component is a flange that brings its own seal: a grooved flange adapter."""
    return component.kind.group == "flanges" and component.kind.seat == "resilient"


def _with_adapter(bolts: BoltSet | None) -> BoltSet | None:
    """Number and diameter follow the drilling; the length does not, since no standard says how thick an adapter is."""
    why_not = "how thick a grooved flange adapter is, only its maker says"
    return None if bolts is None else bolts._replace(length=None, terms=(), why_not=why_not)


def _lug(
    hookup: Hookup,
    body: Component,
    neighbour: Component,
    end: End,
    joint: Joint,
) -> FlangedJoint:
    between = (body, neighbour) if joint.end_a.form == "lug" else (neighbour, body)  # in flow order
    spec = hookup.lines[joint.line].spec
    gaskets = 0 if _seals_itself(body) or is_adapter(neighbour) else 1
    dims, length = dims_of(end), body_length(body, hookup.lengths)
    bolts = None
    why = "the length of the body is not in the tables"
    if dims is not None and length is not None:
        bolts = _screws(dims, spec.gasket_in * gaskets, length, joint.kit)
        bolts = _with_adapter(bolts) if is_adapter(neighbour) else bolts
        why = _sum(bolts)
    return FlangedJoint(
        between,
        end.size,
        end.rating,
        _faces(end),
        gaskets,
        _gasket(spec, (end,)) if gaskets else SEAT_SEALS if _seals_itself(body) else ADAPTER_SEALS,
        (spec.bolt_grade, spec.nut_grade),
        int(_seals_itself(body) and is_adapter(neighbour)),
        spec.gasket_in,
        bolts,
        joint.kit,
        joint.line,
        (*body.origin[:1], *neighbour.origin[:1], *joint.origin),
        why,
    )


def _wafer(
    hookup: Hookup,
    body: Component,
    sides: list[tuple[Component, End, Joint]],
) -> FlangedJoint:
    before = [c for c, end, j in sides if j.end_a is end]
    behind = [c for c, end, j in sides if j.end_a is not end]
    joint = sides[0][2]
    spec = hookup.lines[joint.line].spec
    adapters = sum(is_adapter(neighbour) for neighbour, _, _ in sides)
    gaskets = 0 if _seals_itself(body) else len(sides) - adapters
    kit = any(j.kit for _, _, j in sides)
    ends = tuple(end for _, end, _ in sides)
    dims, length = [dims_of(end) for end in ends], body_length(body, hookup.lengths)
    bolts = None
    why = "the length of the body is not in the tables"
    if len(dims) == 2 and dims[0] is not None and dims[1] is not None and length is not None:
        bolts = _bolts(dims[0], dims[1], spec.bolts, (spec.gasket_in,) * gaskets, length, kit)
        bolts = _with_adapter(bolts) if adapters else bolts
        why = _sum(bolts)
    elif len(dims) < 2:
        why = "one side of the body is not made up"
    return FlangedJoint(
        (*before, body, *behind),
        ends[0].size,
        _rating(*ends),
        _faces(*ends),
        gaskets,
        _gasket(spec, ends) if gaskets else SEAT_SEALS if _seals_itself(body) else ADAPTER_SEALS,
        (spec.bolt_grade, spec.nut_grade),
        adapters if _seals_itself(body) else 0,
        spec.gasket_in,
        bolts,
        kit,
        joint.line,
        (*body.origin[:1], *joint.origin),
        why,
    )


# One answer a distinct joint: a job has few of them, many times over.


@cache
def _bolts(
    a: FlangeDims, b: FlangeDims, style: str, gaskets: tuple[Fraction, ...], body: Fraction, kit: bool
) -> BoltSet | None:
    return bolt_set(a, b, style, gaskets, body, kit_washers() if kit else ())


@cache
def _screws(dims: FlangeDims, gasket: Fraction, body: Fraction, kit: bool) -> BoltSet | None:
    return lug_screws(dims, gasket, body, kit_washers() if kit else ())


@cache
def _sum(bolts: BoltSet | None) -> str:
    """The sum behind a bolt length, as `why` prints it."""
    if bolts is None:
        return "a dimension of this joint is not in the tables"
    terms = " + ".join(f"{float(inches):.3f} {what}" for what, inches in bolts.terms)
    if bolts.length is None:
        return ": ".join(filter(None, (bolts.why_not, terms)))
    return f"{bolts.source}: {terms} = {float(bolts.needed):.3f} in, bought as {mixed(bolts.length)} in"


def mixed(value: Fraction) -> str:
    """An exact fraction of an inch as the trade writes it: `3-1/2`, `5/8`."""
    whole, rest = divmod(value, 1)
    return f"{whole}-{_inches(rest)}" if whole and rest else _inches(value)
