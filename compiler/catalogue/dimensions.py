"""Look-ups by nominal size: pipe, tube, fittings, valves, hangers. Lengths are exact fractions of an inch.

Every look-up returns None where the tables have nothing (`not in the tables`); none ever guesses. The dimensions of
flanges, gaskets and bolts are in `flanges`.
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from ..model.declared import SpecRow
from ..model.size import Size
from .tables import Row, decimal, inches, table

#: Pounds per foot of steel pipe = 10.69 (OD - wall) wall. ASME B36.10M, the formula of the standard.
_STEEL_WEIGHT = Fraction("10.69")


class PipeWall(NamedTuple):
    """Pipe or tube: outside diameter and wall in inches, weight in lb/ft (None where no weight is known)."""

    od: Fraction
    wall: Fraction
    weight: float | None

    @property
    def id(self) -> Fraction:
        """Inside diameter, inches."""
        return self.od - 2 * self.wall

    @property
    def bore_area(self) -> float:
        """Area of the bore, square inches."""
        return math.pi / 4 * float(self.id) ** 2


class Engagement(NamedTuple):
    """Taper pipe thread NPT, lengths in inches: hand-tight (L1), effective thread (L2), and in a made-up joint."""

    threads_per_inch: Fraction
    hand_tight: Fraction
    effective: Fraction
    makeup: Fraction


class Tee(NamedTuple):
    """Centre to the end of the run, and centre to the end of the outlet, inches."""

    run: Fraction
    outlet: Fraction


class Nipple(NamedTuple):
    """Lengths of the two shortest stock nipples, inches."""

    close: Fraction
    short: Fraction


class Hanger(NamedTuple):
    """Greatest spacing in feet of a level water-filled pipe, and its least rod in inches (None if not known)."""

    span_ft: Fraction
    rod: Fraction | None


@cache
def _by(name: str, *columns: str) -> dict[tuple[str, ...], Row]:
    """A table's rows by the text of some of its columns."""
    return {tuple(row[c] for c in columns): row for row in table(name)}


def _find(name: str, **key: str) -> Row | None:
    return _by(name, *key).get(tuple(key.values()))


def _cell(row: Row | None, column: str) -> Fraction | None:
    """A cell in sixteenths; None if the row or the value is missing."""
    return inches(row[column]) if row and row.get(column) else None


@cache
def steel_pipe(nps: Size, schedule: str) -> PipeWall | None:
    """Steel pipe of schedule `10`, `40`, `80`, `STD` or `XS`. ASME B36.10M; the weight is by its formula."""
    row = _find("pipe_steel", nps=nps.label)
    if row is None or not row.get(f"wall_{schedule}"):
        return None
    od, wall = decimal(row["od_in"]), decimal(row[f"wall_{schedule}"])
    return PipeWall(od, wall, float(_STEEL_WEIGHT * (od - wall) * wall))


def pipe_wall(row: SpecRow | None, nps: Size) -> PipeWall | None:
    """The pipe or tube that a spec's row means at a size; None without a row."""
    if row is None:
        return None
    return copper_tube(nps, row.wall) if row.metal == "copper" else steel_pipe(nps, row.wall)


@cache
def outside(nominal: Size, metal: str) -> Fraction | None:
    """Outside diameter of pipe or tube of a metal, whatever its wall. ASME B36.10M; ASTM B88 for copper."""
    wall = copper_tube(nominal, "L") if metal == "copper" else steel_pipe(nominal, "STD")
    return None if wall is None else wall.od


@cache
def copper_tube(nominal: Size, type_: str) -> PipeWall | None:
    """Copper water tube of type `K`, `L` or `M`. ASTM B88."""
    row = _find("tube_copper", nominal=nominal.label, type=type_)
    if row is None:
        return None
    weight = float(row["weight_lb_per_ft"]) if row["weight_lb_per_ft"] else None
    return PipeWall(decimal(row["od_in"]), decimal(row["wall_in"]), weight)


@cache
def weld_elbow(nps: Size, angle: int, radius: str = "long") -> Fraction | None:
    """Centre to face of a butt-weld elbow: angle 90 or 45, radius `long` or (90 only) `short`. ASME B16.9."""
    return _cell(_find("weld_elbows", nps=nps.label), f"{radius}_{angle}_in")


@cache
def weld_tee(run: Size, outlet: Size) -> Tee | None:
    """A straight or reducing-outlet butt-weld tee; None if the standard does not list the pair. ASME B16.9."""
    row = _find("weld_tees", run=run.label, outlet=outlet.label)
    return None if row is None else Tee(inches(row["run_in"]), inches(row["outlet_in"]))


@cache
def weld_reducer(large: Size, small: Size) -> Fraction | None:
    """End to end of a butt-weld reducer, concentric or eccentric; None if there is none for the pair. ASME B16.9."""
    row = _find("weld_reducers", nps=large.label)
    return inches(row["length_in"]) if row and small.label in row["to"].split() else None


@cache
def weld_cap(nps: Size) -> Fraction | None:
    """Length of a butt-weld cap, for walls to about XS. ASME B16.9."""
    return _cell(_find("weld_caps", nps=nps.label), "length_in")


@cache
def threaded_fitting(standard: str, shape: str, nps: Size) -> Fraction | None:
    """Centre to end (end to end of a coupling) of a straight threaded fitting.

    `standard`: `ASME B16.3` (class 150 malleable iron) or `ASME B16.11` (class 3000 forged steel); `shape`: `elbow_90`,
    `elbow_45`, `tee` or `coupling`.
    """
    row = _find("threaded_fittings", standard=standard, nps=nps.label)
    if row is None or not row.get(f"{shape}_in"):
        return None
    return (decimal if standard == "ASME B16.3" else inches)(row[f"{shape}_in"])


@cache
def thread_engagement(nps: Size) -> Engagement | None:
    """The taper pipe thread of a size. ASME B1.20.1; the make-up is the trade's common table."""
    row = _find("npt_engagement", nps=nps.label)
    if row is None:
        return None
    return Engagement(*(decimal(row[c]) for c in ("tpi", "l1_in", "l2_in", "makeup_in")))


@cache
def nipple(nps: Size) -> Nipple | None:
    """Close and short nipple of a size. ASTM A733, from memory."""
    row = _find("nipples", nps=nps.label)
    return None if row is None else Nipple(decimal(row["close_in"]), decimal(row["short_in"]))


@cache
def outlet_height(branch: Size, end: str) -> Fraction | None:
    """Outside of the run to the end of a welded branch outlet: `butt_weld` or `threaded`. MSS SP-97, from memory."""
    row = _find("outlets", nps=branch.label)
    return decimal(row[f"{end}_in"]) if row and row[f"{end}_in"] else None


@cache
def solder_cup(nominal: Size) -> Fraction | None:
    """How deep tube goes into a solder cup. ASME B16.22, from memory."""
    return _cell(_find("solder_cups", nominal=nominal.label), "depth_in")


@cache
def valve_length(valve: str, ends: str, rating: str, nps: Size) -> Fraction | None:
    """Face to face of a valve whose length is standard, over its raised faces. ASME B16.10, API 609 category A.

    `valve`: `gate`, `globe`, `swing check`, `ball long`, `ball short`, `butterfly wafer`, `butterfly lug`; `ends`:
    `flange`, `wafer` or `lug`; `rating`: `125` or `150`.
    """
    row = _find("valve_lengths", valve=valve, ends=ends, nps=nps.label, **{"class": rating})
    return _cell(row, "length_in")


@cache
def hanger(material: str, nps: Size) -> Hanger | None:
    """Hanger spacing of `steel` (STD) or `copper` (type L) pipe full of water. MSS SP-58."""
    row = _find("hangers", pipe=material, nps=nps.label)
    if row is None:
        return None
    return Hanger(decimal(row["span_ft"]), decimal(row["rod_in"]) if row["rod_in"] else None)
