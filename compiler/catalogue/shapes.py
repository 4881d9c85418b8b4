"""Metal and bore of fittings from their dimensions: butt-weld fittings, flanges, bolts. Cubic inches.

Every function returns None where a dimension is not in the tables.
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from ..model.size import Size
from .bolting import BoltSet
from .dimensions import PipeWall, weld_cap, weld_elbow, weld_reducer, weld_tee
from .flanges import FlangeDims
from .tables import decimal, inches, table

#: Tees are drawn with a wall this much thicker than the pipe's, inches (1.5 mm). A fitting maker's weight formula.
_TEE_EXTRA = 1.5 / 25.4
#: The sizes that butt-weld fittings come in, for counting steps from one to another.
_STEPS = ("1/4", "3/8", "1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "4", "5", "6", "8", "10", "12")


class Volume(NamedTuple):
    """Cubic inches of metal, and of the bore that the fluid fills; and the length along the line that is insulated."""

    metal: float
    bore: float
    length: float


def _ring(pipe: PipeWall, extra: float = 0.0) -> float:
    """Section of the wall, square inches; with `extra` on the inside of it."""
    wall = float(pipe.wall) + extra
    return math.pi * (float(pipe.od) - wall) * wall


def pipe_volume(pipe: PipeWall, length: Fraction) -> Volume:
    """A straight piece, length in inches."""
    ring, bore = _sections(pipe)
    return Volume(ring * float(length), bore * float(length), float(length))


@cache
def _sections(pipe: PipeWall) -> tuple[float, float]:
    return _ring(pipe), pipe.bore_area


def elbow_volume(pipe: PipeWall, nps: Size, angle: int, radius: str = "long") -> Volume | None:
    """A butt-weld elbow: its wall along the centreline, the 45 with what its tangents are longer than the bend."""
    ninety, reach = weld_elbow(nps, 90, radius), weld_elbow(nps, angle, radius)
    if ninety is None or reach is None:
        return None
    bend, half = float(ninety), math.radians(angle) / 2
    tangents = max(0.0, float(reach) - bend * math.tan(half))
    length = 2 * half * bend + 2 * tangents
    return Volume(_ring(pipe) * length, pipe.bore_area * length, length)


def tee_volume(pipe: PipeWall, run: Size, branch: Size) -> Volume | None:
    """A butt-weld tee: run and half the outlet of the straight tee, in a wall thicker than the pipe's, by its share."""
    straight, own = weld_tee(run, run), weld_tee(run, branch)
    share = _share("tee", run, branch)
    if straight is None or own is None or share is None:
        return None
    length = float(2 * straight.run + straight.outlet - pipe.od / 2)
    bore = pipe.bore_area * length * share
    return Volume(_ring(pipe, _TEE_EXTRA) * length * share, bore, length)


def reducer_volume(pipe: PipeWall, large: Size, small: Size) -> Volume | None:
    """A butt-weld reducer: pipe of its large end (`pipe`) over its length, by its share."""
    length, share = weld_reducer(large, small), _share("reducer", large, small)
    if length is None or share is None:
        return None
    return Volume(_ring(pipe) * float(length) * share, pipe.bore_area * float(length) * share, float(length))


def cap_volume(pipe: PipeWall, nps: Size) -> Volume | None:
    """A butt-weld cap: half a spheroid twice as wide as deep, and pipe for the rest of its length."""
    whole = weld_cap(nps)
    if whole is None:
        return None
    wall, middle = float(pipe.wall), float(pipe.od - pipe.wall)
    depth = float(pipe.id) / 4
    skirt = max(0.0, float(whole) - wall - depth)
    flat = math.sqrt(0.75)  # eccentricity of the spheroid
    shell = math.pi * middle**2 / 4 * (1 + 0.25 / flat * math.atanh(flat))
    bore = pipe.bore_area * skirt + math.pi / 12 * float(pipe.id) ** 3 / 2
    return Volume(shell * wall + _ring(pipe) * skirt, bore, float(whole))


def flange_volume(dims: FlangeDims, nps: Size, attached: str, pipe: PipeWall) -> Volume | None:
    """A flange: ring and face less bolt holes, and its hub less the bore.

    `attached`: `weld neck` (bored as the pipe; its hub a cone), `slip-on`, `threaded` (bored as the pipe's outside) or
    `blind`. Hubs of cast flanges are not in the tables.
    """
    ring, face = float(dims.thickness), float(dims.face)
    solid = _disc(float(dims.od)) * ring - dims.bolts * _disc(float(dims.hole)) * ring
    solid += _disc(float(dims.face_dia)) * face if dims.face_dia is not None else 0.0
    if attached == "blind":
        return Volume(solid, 0.0, ring + face)
    hub = _hub(dims.rating, nps) if dims.standard == "ASME B16.5" else None
    through = next((length for name, length in dims.hubs if name == attached), None)
    if hub is None or through is None:
        return None
    base, slip_bore = hub
    bore = {"weld neck": float(pipe.id), "slip-on": slip_bore, "threaded": float(pipe.od)}[attached]
    top = float(pipe.od) if attached == "weld neck" else base
    tall = float(through) - ring
    solid += math.pi * tall / 12 * (base**2 + base * top + top**2)
    length = float(through) + face
    inside = pipe.bore_area * length
    return Volume(solid - _disc(bore) * length, inside, length)


def bolt_volume(bolts: BoltSet) -> float | None:
    """All bolts of a joint or of one side of a body, with their nuts and heads; None where their length is not known.

    A stud or shank is a cylinder of the pitch diameter, a nut or head a hexagon, a nut less its hole.
    """
    if bolts.length is None:
        return None
    outside = float(bolts.diameter)
    pitch = outside - 0.6495 / bolts.dims.threads_per_inch
    hexagon = math.sqrt(0.75) * float(bolts.dims.nut_flats) ** 2
    each = _disc(pitch) * float(bolts.length)
    each += bolts.nuts * (hexagon - _disc(pitch)) * float(bolts.dims.nut_height)
    if bolts.style != "studs":
        each += hexagon * float(bolts.dims.head_height)
    return bolts.number * each


def _disc(diameter: float) -> float:
    return math.pi / 4 * diameter**2


@cache
def _hub(rating: str, nps: Size) -> tuple[float, float] | None:
    """Outside of the hub at its base, and the bore of a slip-on flange, inches. ASME B16.5."""
    for row in table("slip_on_hubs"):
        if (row["class"], row["nps"]) == (rating, nps.label):
            return float(inches(row["hub_in"])), float(decimal(row["bore_in"]))
    return None


@cache
def _share(fitting: str, large: Size, small: Size) -> float | None:
    if large.label not in _STEPS or small.label not in _STEPS or small > large:
        return None
    steps = _STEPS.index(large.label) - _STEPS.index(small.label)
    rows = [row for row in table("weld_fitting_shares") if row["fitting"] == fitting]
    known = {int(row["steps"]): float(row["share"]) for row in rows}
    return known.get(min(steps, max(known)))
