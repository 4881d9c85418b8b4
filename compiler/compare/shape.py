"""What a hookup says, ready to be held against another: coils, lines, things and moves in flow order.

All is seen as for air that runs from left to right, so that a hookup and its mirror image say the same but for the
airflow.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from ..model.hookup import CoilFacts, Component, Hookup, LineInfo, Link, Move, Place
from ..model.span import Origin
from ..passes.mirror import mirrored_move
from ..takeoff.describe import ends_text
from .align import Token
from .facts import Facts, facts, length, said

#: Turns a tag of the hookup to the one that it is compared by.
Tags = Callable[[str], str]

_MIRROR_HAND = {"left": "right", "right": "left"}


@dataclass(slots=True, eq=False)
class Step:
    """A thing (`facts` has a kind) or a move in a line. `under`: the thing that it branches off, by its id."""

    id: str
    text: str  # of a move, all that it says; of a thing its label
    line: str
    under: str
    origin: Origin
    tag: str = ""
    facts: Facts = field(default_factory=dict)
    carries: tuple[str, ...] = ()  # roles, else kinds, of what branches off it
    way: Token = ()  # of a move, where it goes

    @property
    def is_move(self) -> bool:
        """Whether it is a move."""
        return bool(self.way)

    @property
    def token(self) -> Token:
        """What makes two untagged things alike."""
        return (self.facts.get("kind", ""), self.facts.get("size", ""), self.facts.get("side", ""), *self.carries)

    @property
    def name(self) -> str:
        """Its tag, or what it is or carries."""
        return self.tag or " and ".join(self.carries) or self.text


@dataclass(slots=True)
class Shape:
    """What one hookup says. Facts by name; the steps of each line in flow order, those of a branch behind its thing."""

    facts: Facts
    origin: Origin
    declared: dict[str, tuple[Facts, Origin]]  # services, specs, lineups, lengths, by their names
    coils: dict[str, tuple[Facts, Origin]]
    lines: dict[str, tuple[Facts, Origin]]
    steps: dict[str, list[Step]]


def shape(hookup: Hookup, tags: Tags) -> Shape:
    """What a hookup says, its tags as `tags` has them."""
    return _Reader(hookup, tags).read()


class _Reader:
    def __init__(self, hookup: Hookup, tags: Tags) -> None:
        self.hookup = hookup
        self.tags = tags
        self.turned = hookup.airflow == "right to left"
        self.under: dict[str, str] = {}

    def read(self) -> Shape:
        hookup = self.hookup
        cabinet = hookup.cabinet
        if cabinet is not None and self.turned:
            cabinet = cabinet.mirrored()
        own = {"airflow": hookup.airflow, "cabinet": said(cabinet)}
        links: dict[str, list[Link]] = {}
        for link in hookup.straights:
            links.setdefault(link.line, []).append(link)
        steps = {self.tags(id): self._steps(id, links.get(id, [])) for id in hookup.lines}
        return Shape(
            {key: text for key, text in own.items() if text},
            (hookup.span,),
            self._declared(),
            {self.tags(tag): (self._coil(coil), (coil.span,)) for tag, coil in hookup.coils.items()},
            {self.tags(id): (self._line(line, links.get(id, [])), (line.span,)) for id, line in hookup.lines.items()},
            steps,
        )

    # -- what stands beside the lines ---------------------------------------------------------------------------

    def _declared(self) -> dict[str, tuple[Facts, Origin]]:
        hookup = self.hookup
        used = dict.fromkeys([coil.service for coil in hookup.coils.values()])
        used.update(dict.fromkeys(line.service for line in hookup.lines.values()))
        made = {
            f"service {name}": (facts(service, leave=("name",)), service.origin)
            for name, service in hookup.services.items()
            if name in used
        }
        for spec in {id(line.spec): line.spec for line in hookup.lines.values()}.values():
            found = facts(spec, leave=("name", "rows"))
            for row in spec.rows:
                found[f"{row.low} to {row.high}"] = said(tuple(facts(row, leave=("low", "high")).values()))
            made[f"spec {spec.name}"] = (found, spec.origin)
        for lineup in hookup.lineups:
            found = {
                "open": ", ".join(sorted(self.tags(tag) for tag, _ in lineup.open)),
                "closed": ", ".join(sorted(self.tags(tag) for tag, _ in lineup.closed)),
                "expects": ", ".join(sorted(f"{self.tags(coil)} on {service}" for coil, service, _ in lineup.expect)),
            }
            made[f"lineup {lineup.name}"] = ({k: v for k, v in found.items() if v}, (lineup.span,))
        if hookup.lengths:
            found = {" ".join(map(str, key)).replace("  ", " "): length(v) for key, v in hookup.lengths.items()}
            made["lengths"] = (found, (hookup.span,))
        return made

    def _coil(self, coil: CoilFacts) -> Facts:
        found = facts(coil, leave=("tag", "ports", "pull_space", "ordered_hand"))
        space = coil.pull_space
        if space is not None:
            found["pull space"] = said(space.mirrored() if self.turned else space)
        if coil.ordered_hand:
            found["hand as ordered"] = coil.ordered_hand
        for name, port in coil.ports.items():
            words = [port.level, f"{port.air_side} side" if port.air_side else "", self._place(port.place)]
            found[name] = ", ".join(word for word in words if word)
        component = next((c for c in self.hookup.components() if c.tag == coil.tag and c.kind.ports == "coil"), None)
        for name, end in component.ends.items() if component is not None else ():
            found[name] = ", ".join(part for part in (found.get(name, ""), str(end), end.metal) if part)
        return found

    def _place(self, place: Place | None) -> str:
        if place is None:
            return ""
        place = place.mirrored() if self.turned else place
        parts = {"right": place.right, "toward": place.toward, "up": place.up}
        return ", ".join(f"{name} {length(value)}" for name, value in parts.items() if value is not None)

    def _line(self, line: LineInfo, links: list[Link]) -> Facts:
        found = {"size": str(line.size), "service": line.service, "spec": line.spec.name}
        found["remarks"] = ", ".join(sorted(line.remarks))
        # A branch ends within its line, so that the line's end is where its last thing in the run leads to.
        ends = [self._far(link.a, link.port_a, line.id) for link in links[:1]]
        ends += [self._far(link.b, link.port_b, line.id) for link in links[-1:]]
        for name, text, place in zip(("from", "to"), (*ends, "", "")[:2], (line.start, line.end), strict=True):
            found[name] = ", ".join(part for part in (text, self._place(place)) if part)
        return {key: text for key, text in found.items() if text}

    def _far(self, id: str, port: str, line: str) -> str:
        component = self.hookup.component(id)
        if component.line == line:
            return ""
        if component.kind.ports == "main":
            size = component.branch_size
            return f"main {component.tag}" + (f", {size}" if size else "")
        return f"{self.tags(component.label)} {port}"

    # -- lines --------------------------------------------------------------------------------------------------

    def _steps(self, line: str, links: list[Link]) -> list[Step]:
        made: list[Step] = []
        seen: set[str] = set()

        def thing(id: str) -> None:
            component = self.hookup.component(id)
            if id not in seen and component.line == line and is_of_file(component):
                seen.add(id)
                made.append(self._thing(component))

        for link in links:
            if link.a not in self.under:
                self.under[link.a] = ""
            thing(link.a)
            under = link.a if link.port_a in ("branch", "bypass") and link.a in seen else self.under[link.a]
            for move in link.moves:
                made.append(self._move(move, line, under))
            if self.hookup.component(link.b).line == line:
                self.under.setdefault(link.b, under)
            thing(link.b)
        for component in self.hookup.components():
            if component.line == line and is_of_file(component):
                thing(component.id)
        carried: dict[str, dict[str, None]] = {}
        for step in made:
            if step.under and not step.is_move:
                carried.setdefault(step.under, {})[step.facts.get("part of") or step.facts["kind"]] = None
        for step in made:
            if not step.is_move:
                step.carries = tuple(carried.get(step.id, ()))
        return made

    def _thing(self, component: Component) -> Step:
        hand = component.hand
        if self.turned:
            hand = _MIRROR_HAND.get(hand, hand)
        stem = component.fitted.stem
        found = {
            "kind": component.kind.name,
            "size": component.size.label,
            "side": component.branch_size.label if component.branch_size is not None else "",
            "ends": ends_text(component),
            "class": " x ".join(dict.fromkeys(e.rating for e in component.ends.values() if e.rating)),
            "material": component.made_of,
            "position": ("closed" if component.closed else "open") if component.position_said else "",
            "part of": component.role,
            "hand": hand,
            "remarks": ", ".join(sorted(component.remarks)),
            "weight": said(component.weight_lb, "_lb"),
            **{f"fitted, {key}": text for key, text in facts(component.fitted, leave=("stem",)).items()},
            "stem": _MIRROR_HAND.get(stem, stem) if self.turned else stem,
        }
        return Step(
            component.id,
            component.kind.name,
            self.tags(component.line),
            self.under.get(component.id, ""),
            component.origin,
            self.tags(component.tag),
            {key: text for key, text in found.items() if text},
        )

    def _move(self, move: Move, line: str, under: str) -> Step:
        place = self._place(move.place)
        text, way = _move_text(mirrored_move(move) if self.turned else move, place)
        return Step("", text, self.tags(line), under, (move.span,), way=way)


def is_of_file(component: Component) -> bool:
    """Whether the file has it, and no pass put it in to turn or join a line."""
    return " > " not in component.id and not component.between and component.pipe is None


def _move_text(move: Move, place: str) -> tuple[str, Token]:
    """All that a move says, and where it goes."""
    legs = [leg.direction + (f" {length(leg.length)}" if leg.length is not None else "") for leg in move.legs]
    words = [" and ".join(legs)] if legs else []
    if move.through:
        words.append(f"through {move.through}")
    if move.mark:
        words.append(move.mark)
    if not legs and move.length is not None:
        words.append(length(move.length))
    words += ["about"] if move.about else []
    words += ["field fit"] if move.field_fit else []
    words += ["at 45"] if move.at_45 else []
    words += ["short radius elbow"] if move.short_radius else []
    words += [f"pitch {said(move.pitch, 'pitch')}"] if move.pitch is not None else []
    words += [f"hole {length(move.hole_in)}"] if move.hole_in is not None else []
    words += [f"at {place}"] if place else []
    way = ("way", *(leg.direction for leg in move.legs), move.through, move.mark)
    return ", ".join(words) or "a move", way
