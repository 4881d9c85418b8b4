"""How much liquid fills a component, US gallons."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from ..catalogue.dimensions import solder_cup, thread_engagement
from ..catalogue.takeouts import reach
from ..catalogue.weights import bore_area, is_outlet
from ..model.hookup import Component, Hookup
from ..model.size import Size
from ..model.table import NOT_IN_TABLES, Unknown
from .weighing import Scales

#: A US gallon in cubic inches, by definition.
GALLON = 231
#: Bodies that can do one of these are, open, a piece of pipe of their size: gate, ball, plug and butterfly valves,
#: flexible connectors, unions, spool pieces. Other bodies hold what their makers say. Common practice, no source.
_LIKE_PIPE = ("isolates", "flexes", "breaks", "blinds", "separates metals")
_BODIES = ("valves", "specialties", "instruments", "equipment")


def gallons(hookup: Hookup, scales: Scales, component: Component) -> float | Unknown:
    """What fills one component that is no coil and no main.

    Pipe and nipples by their bore and length, butt-weld fittings and flanges by their shape, bodies like pipe at full
    bore over their face-to-face length, threaded elbows, tees and couplings by the bore of their pipe. What pipe goes
    into counts as pipe there: the depth of threads and cups is taken off, and a slip-on flange holds nothing itself.
    Nor do ends, and instruments that stick into the line. NOT_IN_TABLES for all others.
    """
    kind = component.kind
    if kind.group in _BODIES and kind.ports != "end" and not any(map(kind.can, _LIKE_PIPE)):
        return NOT_IN_TABLES
    if any(end.form == "slip bore" for end in component.ends.values()):
        return 0.0
    held = scales.held(component)
    if held is NOT_IN_TABLES and kind.group == "fittings":
        held = _arms(hookup, component)
    if isinstance(held, Unknown):
        return held
    taken = 0.0 if is_outlet(component) else _taken_up(hookup, component)
    return max(0.0, held - taken) / GALLON


def _arms(hookup: Hookup, fitting: Component) -> float | Unknown:
    """Cubic inches of a fitting of which each end's reach is known, as wide as the pipe."""
    line = hookup.lines.get(fitting.line)
    total = 0.0
    for port, end in fitting.ends.items():
        arm = reach(fitting, port, line.spec, hookup.lengths).value if line is not None else NOT_IN_TABLES
        area = bore_area(end.size, line.spec.row(end.size)) if line is not None else None
        if not isinstance(arm, Fraction) or area is None:
            return NOT_IN_TABLES
        total += area * float(arm)
    return total


def _taken_up(hookup: Hookup, component: Component) -> float:
    """Cubic inches of the pipes that go into the threads and cups of a component."""
    line = hookup.lines.get(component.line)
    total = 0.0
    for end in component.ends.values():
        depth = _DEPTHS[end.form](end.size) if end.form in _DEPTHS else None
        area = bore_area(end.size, line.spec.row(end.size)) if line is not None else None
        total += area * float(depth) if area is not None and depth is not None else 0.0
    return total


def _thread(size: Size) -> Fraction | None:
    found = thread_engagement(size)
    return None if found is None else found.makeup


_DEPTHS: dict[str, Callable[[Size], Fraction | None]] = {"female thread": _thread, "cup": solder_cup}
