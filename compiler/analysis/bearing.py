"""What parts bear: their flanges, soldered joints and bodies by the standards they are made to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..catalogue.flanges import flange_standard
from ..catalogue.pieces import standard_of
from ..catalogue.ratings import fitting_bound, rating_bound
from ..model.hookup import Component, Hookup

_FLANGED = ("flange", "lug", "wafer")
_BODIED = ("male thread", "female thread", "cup")
_BRONZE_VALVES = "MSS SP-80"


@dataclass(frozen=True, slots=True)
class Bears:
    """A part, what of it bears least, and at most how much, psi."""

    part: Component
    what: str
    psi: int


def bearing(hookup: Hookup, component: Component, deg_f: float) -> Iterator[Bears]:
    """What the flanges, the soldered joints and the body of a component bear at a temperature; nothing for what is in
    no table."""
    for what, psi in looked_up(hookup, component, deg_f):
        if psi is not None:
            yield Bears(component, what, psi)


def looked_up(hookup: Hookup, component: Component, deg_f: float) -> Iterator[tuple[str, int | None]]:
    """What is looked up of a component, and at most how much it bears, psi; None for what is in no table.

    Soldered joints only where the spec says the solder; pipe, nipples and welds not at all.
    """
    line = hookup.lines.get(component.line)
    for end in dict.fromkeys(component.ends.values()):
        if end.form in _FLANGED and end.rating:
            standard = flange_standard(end.rating, end.metal)
            yield f"class {end.rating}, {standard}", rating_bound(standard, end.rating, deg_f)
        elif end.form == "cup" and line is not None and line.spec.solder:
            yield f"{line.spec.solder} solder", rating_bound("solder joint", line.spec.solder, deg_f, end.size)
    is_pipe = component.pipe is not None or component.kind.group == "pipe" or "nipple" in component.kind.name
    if is_pipe or not any(end.form in _BODIED for end in component.ends.values()):
        return
    if component.kind.group in ("fittings", "ends"):
        standard = standard_of(component.made_of, component.kind.name == "union")
        psi = fitting_bound(standard, component.made_of, component.size, deg_f)
        yield f"{component.made_of}, {standard}", psi
    elif component.kind.group != "flanges":
        classes = {end.rating for end in component.ends.values() if end.form in _BODIED and end.metal == "bronze"}
        if classes and _BRONZE_VALVES in component.kind.standard.split(" / "):
            least = min(classes)
            yield f"class {least}, {_BRONZE_VALVES}", rating_bound(_BRONZE_VALVES, least, deg_f, component.size)
        else:
            yield component.kind.standard, None
