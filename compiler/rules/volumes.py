"""How much liquid fills a component, US gallons."""

from __future__ import annotations

from fractions import Fraction

from ..catalogue.dimensions import thread_engagement
from ..catalogue.takeouts import reach
from ..catalogue.weights import bore_area
from ..model.hookup import Component, Hookup
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
    bore over their face-to-face length, threaded fittings by the pipe's bore between the ends of the pipes in them.
    Ends, and instruments that stick into the line, hold next to nothing. NOT_IN_TABLES for all other bodies.
    """
    kind = component.kind
    if kind.group in _BODIES and kind.ports != "end" and not any(map(kind.can, _LIKE_PIPE)):
        return NOT_IN_TABLES
    held = scales.held(component)
    if held is NOT_IN_TABLES and kind.group == "fittings":
        held = _between_pipes(hookup, component)
    return held if isinstance(held, Unknown) else held / GALLON


def _between_pipes(hookup: Hookup, fitting: Component) -> float | Unknown:
    """Cubic inches of a threaded fitting from pipe end to pipe end, as wide as the pipe inside."""
    line = hookup.lines.get(fitting.line)
    if line is None:
        return NOT_IN_TABLES
    total = 0.0
    for port, end in fitting.ends.items():
        arm = reach(fitting, port, line.spec, hookup.lengths).value
        thread = thread_engagement(end.size)
        area = bore_area(end.size, line.spec.row(end.size))
        if end.form != "female thread" or not isinstance(arm, Fraction) or thread is None or area is None:
            return NOT_IN_TABLES
        total += area * float(max(Fraction(0), arm - thread.makeup))
    return total
