"""What the components of a hookup weigh, and sums in which something may be missing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction

from ..catalogue.takeouts import length_of
from ..catalogue.weights import bare_pipe, bore_area, dry_weight, fluid_weight, held, insulation_weight, is_outlet
from ..model.declared import SpecRow
from ..model.hookup import Component, Hookup
from ..model.table import NOT_IN_TABLES, NOT_MEASURED, Unknown
from .pipe_lengths import pipe_length


@dataclass(frozen=True, slots=True)
class Weight:
    """One component, lb: dry, the fluid in it, its insulation."""

    dry: float | Unknown
    fluid: float | Unknown
    insulation: float | Unknown

    @property
    def parts(self) -> tuple[float | Unknown, ...]:
        """The three of them."""
        return (self.dry, self.fluid, self.insulation)


@dataclass(slots=True)
class Sum:
    """A sum of weights: what is known of it, and what is not, by name and reason."""

    known: float = 0.0
    missing: dict[str, int] = field(default_factory=dict)

    def add(self, value: float | Unknown, what: str) -> None:
        """Count one weight in."""
        if isinstance(value, Unknown):
            name = f"{what} ({value})"
            self.missing[name] = self.missing.get(name, 0) + 1
        else:
            self.known += value

    def take(self, other: Sum, times: int = 1, share: float = 1.0) -> None:
        """Count another sum in, several times or a share of it."""
        self.known += times * share * other.known
        for name, count in other.missing.items():
            self.missing[name] = self.missing.get(name, 0) + times * count

    @property
    def whole(self) -> bool:
        """Whether nothing is missing."""
        return not self.missing


class Scales:
    """Weighs the components of one hookup, each once."""

    def __init__(self, hookup: Hookup) -> None:
        self.hookup = hookup
        self._known: dict[str, Weight] = {}
        self._bare = _on_no_run(hookup)

    def weigh(self, component: Component) -> Weight:
        """One component; coils and mains, which stand for themselves, apart."""
        if component.id not in self._known:
            self._known[component.id] = self._weigh(component)
        return self._known[component.id]

    def add(self, component: Component, dry: Sum, fluid: Sum, insulation: Sum) -> None:
        """Count one component into three sums; what is missing of it is named once."""
        weight, name = self.weigh(component), named(component)
        dry.add(weight.dry, name)
        if not isinstance(weight.fluid, Unknown) or not isinstance(weight.dry, Unknown):
            fluid.add(weight.fluid, f"fluid in {name}")
        service = self.hookup.services.get(component.service)
        if service is not None and service.insulation_in and service.insulation_lb_ft3 is None:
            insulation.missing[f"insulation of {service.name}: its density is not said"] = 1
        elif not isinstance(weight.insulation, Unknown) or not isinstance(weight.dry, Unknown):
            insulation.add(weight.insulation, f"insulation of {name}")

    def full(self, components: Iterable[Component]) -> Sum:
        """Dry weight, fluid and insulation of some components together."""
        made = Sum()
        for component in components:
            self.add(component, made, made, made)
        return made

    def _weigh(self, component: Component) -> Weight:
        hookup = self.hookup
        row, length = self._as_bought(component)
        service = hookup.services.get(component.service)
        own = (
            dry_weight(component, length, row),
            fluid_weight(component, length, row, service),
            insulation_weight(component, length, row, service),
        )
        if not is_outlet(component):
            return Weight(*own)
        cut = self._pipe_under(component)
        if isinstance(cut, Fraction):
            return Weight(*map(_both, own, bare_pipe(cut, component.size, row, service)))
        return Weight(*(NOT_MEASURED if isinstance(cut, Unknown) else part for part in own))

    def held(self, component: Component) -> float | Unknown:
        """Cubic inches of what fills a component, whatever that is, and the pipe under an outlet with it."""
        row, length = self._as_bought(component)
        if not is_outlet(component):
            return held(component, length, row)
        under, area = self._pipe_under(component), bore_area(component.size, row)
        if isinstance(under, Unknown):
            return under
        if under is None:
            return 0.0
        return NOT_IN_TABLES if area is None else area * float(under)

    def _as_bought(self, component: Component) -> tuple[SpecRow | None, Fraction | Unknown]:
        """The row of its spec, and the length of a pipe, nipple or body in line."""
        line = self.hookup.lines.get(component.line)
        row = line.spec.row(component.size) if line is not None else None
        if component.pipe is not None or "nipple" in component.kind.name:
            return row, pipe_length(self.hookup, component)
        if component.kind.ports == "inline" and line is not None:
            return row, length_of(component, line.spec, self.hookup.lengths).value
        return row, NOT_MEASURED

    def _pipe_under(self, outlet: Component) -> Fraction | Unknown | None:
        """The piece of pipe that an outlet sits on; None where that stands for itself, as a run."""
        cut = self.hookup.measured.cuts.get(outlet.id) if self.hookup.measured is not None else None
        if isinstance(cut, Fraction):
            return cut
        return NOT_MEASURED if outlet.id in self._bare else None


def _both(a: float | Unknown, b: float | Unknown) -> float | Unknown:
    if isinstance(a, Unknown):
        return a
    return b if isinstance(b, Unknown) else a + b


def _on_no_run(hookup: Hookup) -> set[str]:
    """Outlets on a piece of pipe whose length no move gives, such as one between two flanges."""
    beside: dict[str, list[str]] = {}
    for u, v, joint in hookup.joints():
        if joint.kind == "same piece":
            beside.setdefault(u, []).append(v)
            beside.setdefault(v, []).append(u)
    bare: set[str] = set()
    seen: set[str] = set()
    for component in hookup.components():
        if component.id in seen or not is_outlet(component):
            continue
        piece, stack = [], [component.id]
        seen.add(component.id)
        while stack:
            at = stack.pop()
            piece.append(at)
            fresh = [other for other in beside.get(at, ()) if other not in seen]
            seen.update(fresh)
            stack.extend(fresh)
        if all(hookup.component(id).pipe is None for id in piece):
            bare.update(piece)
    return bare


def named(component: Component) -> str:
    """What a sum calls a component that it cannot weigh: kind and size, so that equal ones are counted together."""
    return f"{component.kind.name} {component.size}"


def is_weighed(component: Component) -> bool:
    """Whether a component belongs to the piping: coils and mains do not."""
    return component.kind.ports not in ("coil", "main")
