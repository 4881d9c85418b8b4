"""Valves that somebody has to turn: which way the stem points, and how high it is."""

from __future__ import annotations

from collections.abc import Iterable

from ..analysis.legs import LEGS
from ..analysis.saying import called
from ..analysis.sections import Sections
from ..analysis.water import legs
from ..catalogue.limits import limit
from ..model.finding import Finding
from ..model.hookup import Component, Hookup
from ..model.mend import write
from ..model.quantity import format_feet_inches
from .registry import Verdict, cannot_tell, concerned, fault, rule, yes

_TURNED = frozenset(("isolates", "throttles", "controls", "balances"))
_SOURCES = ("UFGS 15501, 15502",)


@rule(
    "stem-below-level",
    severity="note",
    title="Stems",
    asks="no valve has its stem below the level",
    why="Dirt settles in a bonnet that hangs down and cuts the seat; a packing that leaks drips along the handle.",
    mend="turn the valve, and write `stem up` or `stem level`",
    sources=_SOURCES,
    agreement="2 texts of one family for, 0 against",
    needs="`stem up`, `stem level` or `stem down` behind each valve in the coil's lines",
)
def stem_below_level(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """What the file says of the stems of the valves on a coil's legs."""
    seen: set[str] = set()
    for tag in legs(hookup, sections):
        valves = _valves(hookup, sections, tag)
        down = [valve for valve in valves if valve.fitted.stem == "down"]
        for valve in down:
            if valve.id not in seen:
                seen.add(valve.id)
                yield fault(
                    f"the stem of `{valve.label}` points down",
                    valve.origin[0],
                    about=(tag, *concerned(hookup, valve)),
                    mend=write(valve.origin[0], "stem level", "stem down"),
                )
        if valves and not down:
            said = all(valve.fitted.stem for valve in valves)
            yield yes(tag) if said else cannot_tell(tag, "say `stem up` or `stem level` behind each valve")


@rule(
    "valve-out-of-reach",
    severity="note",
    title="Reach",
    asks="a large valve more than 7 ft above the floor has a chain wheel",
    why="A valve that takes a ladder to reach is not shut in time, and not exercised until it no longer shuts.",
    mend="write `chain wheel` behind the valve, or bring it down",
    sources=_SOURCES,
    agreement="2 texts of one family for, 0 against; neither page read says from which size on",
    needs="`9 ft above floor` behind each large valve in the coil's lines",
)
def valve_out_of_reach(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The height that the file gives for a valve of a coil's legs that is large and has no chain wheel."""
    seen: set[str] = set()
    for tag in legs(hookup, sections):
        large = [v for v in _valves(hookup, sections, tag) if v.size.inches >= limit("chain wheel")]
        open_ = [v for v in large if "chain wheel" not in v.remarks]
        high = [v for v in open_ if v.fitted.above_floor_in is not None and v.fitted.above_floor_in > limit("reach")]
        for valve in high:
            if valve.id not in seen and valve.fitted.above_floor_in is not None:
                seen.add(valve.id)
                yield fault(
                    f"`{valve.label}` is {format_feet_inches(valve.fitted.above_floor_in)} above the floor and has no "
                    "chain wheel",
                    valve.origin[0],
                    about=(tag, *concerned(hookup, valve)),
                    mend=write(valve.origin[0], f"{valve.tag}, chain wheel", valve.tag) if valve.tag else (),
                )
        if not high and any(v.fitted.above_floor_in is None for v in open_):
            yield cannot_tell(tag, "say how high each large valve is, such as `9 ft above floor`")
        elif not high and large:
            yield yes(tag, ", ".join(called(v) for v in large))


def _valves(hookup: Hookup, sections: Sections, coil: str) -> list[Component]:
    """The valves on the two legs of a coil."""
    ways = (legs(hookup, sections)[coil][name].way for name in LEGS)
    return [c for way in ways for c in way if c.kind.can_any(_TURNED)]
