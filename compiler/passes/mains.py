"""What the mains carry.

A main carries what a file says of it (`from main CW on city-water`), else what the coils are on whose own supply or
return it is, of this hookup or else of another one of the job. Of any other main nobody knows.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ..model.finding import Findings, Note
from ..model.plan import LinePlan, Plan, PointRef
from .changes import tags_of
from .expanded import Expanded


def settle_mains(hookups: Iterable[Expanded], findings: Findings) -> None:
    """Tell every hookup what its mains carry, as far as any of them knows. A `*` in a tag is each unit's own number,
    so what such a main carries is told to no other typical.

    Finds: a main that is said to carry one service here and another there.
    """
    hookups = list(hookups)
    said: dict[str, PointRef] = {}
    for one in hookups:
        for point in _mains(one.plan):
            if not point.service:
                continue
            one.mains[point.tag] = said.setdefault(_key(one.plan, point.tag), point).service
            first = said[_key(one.plan, point.tag)]
            if first.service != point.service:
                findings.add(
                    "main-on-two-services",
                    f"main `{point.tag}` is said to carry `{point.service}` here and `{first.service}` elsewhere",
                    point.span,
                    notes=(Note("the other is here", first.span),),
                    help=f"write `main {point.tag} on {first.service}`, or correct the other",
                )
    coils: dict[str, str] = {}
    for one in hookups:
        for tag, service in _by_coils(one.plan).items():
            one.mains.setdefault(tag, said[tag].service if tag in said else service)
            coils.setdefault(tag, service)
    for one in hookups:
        others: list[tuple[str, str]] = []
        for tag in dict.fromkeys(point.tag for point in _mains(one.plan)):
            if tag not in one.mains and "*" not in tag:
                service = said[tag].service if tag in said else coils.get(tag, "")
                if service:
                    others.append((tag, service))
        one.mains.update(others)
        if others and one.key is not None:
            one.key = (*one.key, *others)


def _key(plan: Plan, tag: str) -> str:
    return f"{plan.name} {tag}" if "*" in tag else tag


def _mains(plan: Plan) -> Iterator[PointRef]:
    for line in plan.lines:
        for point in (line.start, line.end):
            if point is not None and point.is_main:
                yield point


@dataclass(frozen=True, slots=True)
class _Claim:
    """A coil's service on one of its own mains; `alike`: how many letters the tags of its two mains begin alike."""

    service: str
    alike: int


def _by_coils(plan: Plan) -> dict[str, str]:
    """The service of every main that is a coil's own.

    Where coils of two services have one main, a `from` or `to` is wrong; the one that names the odder pair of mains is
    taken for it, such as `CC from HWS to CHR`.
    """
    lines_of = {tag: line for line in plan.lines for tag in tags_of([line])}
    services = {coil.facts.tag: coil.facts.service for coil in plan.coils}
    own: dict[str, dict[str, str]] = {}  # by coil: the main of its `supply`, of its `return`
    for line in plan.lines:
        for coil, leg in _coils_of(line):
            main = _main_of(line, leg, lines_of)
            if coil in services and main is not None:
                own.setdefault(coil, {}).setdefault(leg, main.tag)
    claims: dict[str, list[_Claim]] = {}
    for coil, mains in own.items():
        alike = _alike(*mains.values()) if len(mains) == 2 else 0
        for tag in mains.values():
            claims.setdefault(tag, []).append(_Claim(services[coil], alike))
    return {tag: max(found, key=lambda claim: claim.alike).service for tag, found in claims.items()}


def _alike(one: str, other: str) -> int:
    """How many letters two tags begin alike."""
    return next((n for n, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other)))


def _coils_of(line: LinePlan) -> Iterator[tuple[str, str]]:
    """The coils that a line runs to or from, each with the leg that the line is."""
    if line.end is not None and (line.word == "supply" or line.end.port == "supply"):
        yield line.end.tag, "supply"
    if line.start is not None and (line.word == "return" or line.start.port == "return"):
        yield line.start.tag, "return"


def _main_of(line: LinePlan, leg: str, lines_of: dict[str, LinePlan]) -> PointRef | None:
    """The main that a leg comes from or goes to, along the lines at whose tees others start or end."""
    seen: set[str] = set()
    while line.id not in seen:
        seen.add(line.id)
        point = line.start if leg == "supply" else line.end
        if point is None or point.is_main:
            return point
        if point.tag not in lines_of:
            return None
        line = lines_of[point.tag]
    return None
