"""What one component weighs: dry, the fluid in it, its insulation. Pounds.

What the file says stands before what is worked out. A weight that needs a length nobody gave is NOT_MEASURED; what
neither the file nor a table gives is NOT_IN_TABLES. Threaded and soldered fittings, grooved pieces, valves and
specialties have no weight standard: theirs are the makers', in the file.
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import cache

from ..model.declared import Service, SpecRow
from ..model.ends import End
from ..model.hookup import Component
from ..model.size import Size
from ..model.table import NOT_IN_TABLES, Unknown
from .bolting import BoltSet
from .dimensions import PipeWall, copper_tube, pipe_wall, steel_pipe
from .flanges import flange
from .fluids import specific_gravity
from .shapes import (
    Volume,
    bolt_volume,
    cap_volume,
    elbow_volume,
    flange_volume,
    pipe_volume,
    reducer_volume,
    tee_volume,
)
from .tables import decimal, table

#: Water at 39 F, its densest: lb per cubic inch. 999.97 kg/m3.
_WATER = 0.036126
_CUBIC_FOOT = 1728.0
_FLANGES = {
    "weld neck flange": "weld neck",
    "slip-on flange": "slip-on",
    "threaded flange": "threaded",
    "blind flange": "blind",
}
_ELBOWS = {"elbow": 90, "45 elbow": 45}
_REDUCERS = ("concentric reducer", "eccentric reducer")


def dry_weight(component: Component, length: Fraction | Unknown, row: SpecRow | None) -> float | Unknown:
    """A component by itself. `length` is that of a pipe or nipple, inches; `row` that of its spec at its size."""
    if component.weight_lb is not None:
        return component.weight_lb
    if _is_pipe(component) and isinstance(length, Unknown):
        return length
    if component.pipe is not None and isinstance(length, Fraction):
        return bare_pipe(length, component.size, row, None)[0]
    volume, metal = _volume(component, length, row), _metal(component, row)
    density = _densities().get(metal)
    return NOT_IN_TABLES if volume is None or density is None else volume.metal * density


def fluid_weight(
    component: Component, length: Fraction | Unknown, row: SpecRow | None, service: Service | None
) -> float | Unknown:
    """The fluid that fills it. `length` is that of a pipe or nipple, or face to face of a valve, taken as full bore.

    What is in an outlet on the pipe, or in an end that is screwed into one, is next to nothing and counts as such.
    """
    gravity = specific_gravity(service) if service is not None else None
    if gravity is None:
        return NOT_IN_TABLES
    volume = held(component, length, row)
    return volume if isinstance(volume, Unknown) else volume * gravity * _WATER


def held(component: Component, length: Fraction | Unknown, row: SpecRow | None) -> float | Unknown:
    """Cubic inches of what fills a component; `length` as of `fluid_weight`, which says what counts."""
    if _is_outside(component):
        return 0.0
    if _is_pipe(component) and isinstance(length, Unknown):
        return length
    volume = _volume(component, length, row)
    if volume is None:
        area = bore_area(component.size, row)
        if area is None or component.kind.ports != "inline" or not isinstance(length, Fraction):
            return NOT_IN_TABLES
        return area * float(length)
    return volume.bore


def bore_area(nps: Size, row: SpecRow | None) -> float | None:
    """The bore of pipe as a spec's row buys it, square inches; None where the tables do not have it."""
    wall = pipe_wall(row, nps)
    return None if wall is None else wall.bore_area


def insulation_weight(
    component: Component, length: Fraction | Unknown, row: SpecRow | None, service: Service | None
) -> float | Unknown:
    """Insulation round pipe, nipples, butt-weld fittings and flanges, without its jacket; 0 where the service has none.

    Flanges are wrapped as thick as the pipe, over their own outside and the length of their hub. Over valves and other
    fittings it is NOT_IN_TABLES, and where the file gives no density.
    """
    thickness = service.insulation_in if service is not None else None
    if not thickness or _is_outside(component):
        return 0.0
    wall = pipe_wall(row, component.size)
    density = service.insulation_lb_ft3 if service is not None else None
    if _is_pipe(component) and isinstance(length, Unknown):
        return length
    volume = _volume(component, length, row)
    if density is None or volume is None or wall is None:
        return NOT_IN_TABLES
    return insulation_per_foot(_outside(component, wall), thickness, density) * volume.length / 12


@cache
def insulation_per_foot(od: Fraction, thickness: Fraction, density: float) -> float:
    """Pounds a foot of insulation of `density` lb per cubic foot round an outside diameter, both in inches.

    >>> round(insulation_per_foot(Fraction("4.5"), Fraction(2), 4), 2)
    1.13
    """
    area = math.pi * float(thickness) * float(od + thickness)
    return area * 12 * density / _CUBIC_FOOT


def bolts_weight(bolts: BoltSet | None) -> float | Unknown:
    """The steel bolts and nuts of a joint, or of one side of a body."""
    volume = bolt_volume(bolts) if bolts is not None else None
    return NOT_IN_TABLES if volume is None else volume * _densities()["carbon steel"]


def bare_pipe(
    length: Fraction, nps: Size, row: SpecRow | None, service: Service | None
) -> tuple[float | Unknown, float | Unknown, float | Unknown]:
    """Pipe by itself, `length` in inches: dry, the fluid in it, its insulation."""
    wall = pipe_wall(row, nps)
    if wall is None or wall.weight is None:
        return (NOT_IN_TABLES, NOT_IN_TABLES, NOT_IN_TABLES)
    gravity = specific_gravity(service) if service is not None else None
    fluid = NOT_IN_TABLES if gravity is None else pipe_volume(wall, length).bore * gravity * _WATER
    insulation: float | Unknown = 0.0
    if service is not None and service.insulation_in:
        density = service.insulation_lb_ft3
        per_foot = insulation_per_foot(wall.od, service.insulation_in, density) if density is not None else None
        insulation = NOT_IN_TABLES if per_foot is None else per_foot * float(length) / 12
    return wall.weight * _heavier(row) * float(length) / 12, fluid, insulation


def is_outlet(component: Component) -> bool:
    """Whether a component is a branch outlet welded or soldered onto a pipe."""
    end = component.ends.get("in")
    return component.kind.ports == "tee" and end is not None and end.form in ("pipe", "tube")


def _is_outside(component: Component) -> bool:
    return component.kind.ports == "end" or is_outlet(component)


def _is_pipe(component: Component) -> bool:
    return component.pipe is not None or "nipple" in component.kind.name


def _metal(component: Component, row: SpecRow | None) -> str:
    """The metal that a pipe or fitting is made of."""
    end = next(iter(component.ends.values()), None)
    if row is not None and (_is_pipe(component) or (end is not None and end.form == "bevel")):
        return "brass" if component.kind.name == "brass nipple" else row.metal
    return end.metal if end is not None else ""


def _heavier(row: SpecRow | None) -> float:
    """How much heavier pipe is than the table of carbon steel (or copper) says, being of another metal."""
    if row is None or row.metal == "copper":
        return 1.0
    known = _densities()
    return known.get(row.metal, known["carbon steel"]) / known["carbon steel"]


def _volume(component: Component, length: Fraction | Unknown, row: SpecRow | None) -> Volume | None:
    """Metal and bore of a component whose shape is known; None for all others."""
    wall = pipe_wall(row, component.size)
    if wall is None or row is None:
        return None
    if _is_pipe(component):
        return pipe_volume(wall, length) if isinstance(length, Fraction) else None
    end = _flange_end(component) if component.kind.name in _FLANGES else component.ends.get("in")
    if end is None:
        return None
    short = "short radius" in component.remarks
    return _shape(component.kind.name, component.size, component.branch_size, short, row.metal, row.wall, end)


@cache
def _shape(name: str, nps: Size, branch: Size | None, short: bool, metal: str, wall: str, end: End) -> Volume | None:
    """A flange or butt-weld fitting in pipe of a metal and wall; one answer for all that are alike."""
    pipe = copper_tube(nps, wall) if metal == "copper" else steel_pipe(nps, wall)
    if pipe is None:
        return None
    if name in _FLANGES:
        dims = flange(end.size, end.rating, end.facing, end.metal)
        return None if dims is None else flange_volume(dims, nps, _FLANGES[name], pipe)
    if end.form != "bevel":
        return None
    if name in _ELBOWS:
        return elbow_volume(pipe, nps, _ELBOWS[name], "short" if short else "long")
    if name in ("tee", "reducing tee"):
        return tee_volume(pipe, nps, branch or nps)
    if name in _REDUCERS and branch is not None:
        return reducer_volume(pipe, nps, branch)
    return cap_volume(pipe, nps) if name == "cap" else None


def _flange_end(component: Component) -> End | None:
    return next((end for end in component.ends.values() if end.form == "flange"), None)


def _outside(component: Component, wall: PipeWall) -> Fraction:
    """What insulation goes round: the pipe, or the flange."""
    end = _flange_end(component) if component.kind.name in _FLANGES else None
    dims = flange(end.size, end.rating, end.facing, end.metal) if end is not None else None
    return dims.od if dims is not None else wall.od


@cache
def _densities() -> dict[str, float]:
    return {row["metal"]: float(decimal(row["lb_per_in3"])) for row in table("densities")}
