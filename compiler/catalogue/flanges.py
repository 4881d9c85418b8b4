"""Look-ups by nominal size: flanges, their gaskets and bolts. Lengths are exact fractions of an inch.

Every look-up returns None where the tables have nothing (`not in the tables`).
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from typing import NamedTuple

from ..model.ends import FAMILY
from ..model.size import Size
from .tables import Row, decimal, inches, table

#: Classes that are drilled alike at one size: iron 125 with steel 150, iron 250 with steel 300. ASME B16.1 and B16.5;
#: that 250 and 300 agree is from memory.
DRILLED_AS = {"125": "150", "150": "150", "250": "300", "300": "300"}
#: Ways of attaching a flange, and the column of the length through the hub.
_HUBS = {"weld neck": "weld_neck_in", "slip-on": "slip_on_in", "threaded": "threaded_in", "socket": "socket_in"}


class FlangeDims(NamedTuple):
    """A flange. `thickness` is the least allowed, without the raised face; `face` is the height of that face.

    `hubs` are lengths through the hub by way of attaching (`weld neck`, `slip-on`, `threaded`, `socket`), without the
    face. `stud` and `machine_bolt` are the standard's bolt lengths for two such flanges with a gasket, None where the
    standard has none.
    """

    standard: str
    rating: str
    facing: str
    od: Fraction
    thickness: Fraction
    face: Fraction
    face_dia: Fraction | None
    bolt_circle: Fraction
    hole: Fraction
    bolts: int
    bolt: Fraction
    hubs: tuple[tuple[str, Fraction], ...]
    socket_depth: Fraction | None
    stud: Fraction | None
    machine_bolt: Fraction | None

    @property
    def drilling(self) -> tuple[Fraction, int, Fraction]:
        """Bolt circle, number of bolts and bolt diameter: what must agree for two flanges to bolt up."""
        return (self.bolt_circle, self.bolts, self.bolt)

    def takeout(self, attached: str) -> Fraction | None:
        """From the end of the hub to the gasket face (raised face included) for a way of attaching, inches."""
        return next((hub + self.face for name, hub in self.hubs if name == attached), None)


class GasketDims(NamedTuple):
    """A flat gasket, inches. A full-face gasket also has the holes of its flange."""

    shape: str
    inside: Fraction
    outside: Fraction
    bolt_circle: Fraction | None = None
    hole: Fraction | None = None
    holes: int = 0


class BoltDims(NamedTuple):
    """One diameter of flange bolting, inches."""

    thread: str  # `5/8-11 UNC`, `1-1/8-8 UN`
    threads_per_inch: int
    nut_flats: Fraction
    nut_height: Fraction
    head_height: Fraction
    washer: Fraction


def flange_standard(rating: str, metal: str = "") -> str:
    """Which standard a flange of a class and metal follows: B16.1 for 125 and 250, B16.24 for bronze, else B16.5.

    Ductile iron of class 150 (ASME B16.42) shares the dimensions of B16.5: from memory.
    """
    if rating in ("125", "250"):
        return "ASME B16.1"
    return "ASME B16.24" if FAMILY.get(metal) in ("between", "copper") else "ASME B16.5"


@cache
def _rows() -> dict[tuple[str, str, str], Row]:
    return {(row["standard"], row["class"], row["nps"]): row for row in table("flanges")}


@cache
def flange(nps: Size, rating: str, facing: str = "", metal: str = "") -> FlangeDims | None:
    """The flange of a size, class (`150`), facing (`RF`, `FF`; empty: as the standard makes it) and metal.

    A raised-face flange asked for as `FF` is the same flange with its face taken off: no face height, and no bolt
    length from the table. A flat-faced one is never given a raised face: None.
    """
    row = _rows().get((flange_standard(rating, metal), rating, nps.label))
    if row is None or (row["facing"] == "FF" and facing == "RF"):
        return None
    faced_off = row["facing"] == "RF" and facing == "FF"

    def cell(column: str) -> Fraction | None:
        return inches(row[column]) if row[column] else None

    return FlangeDims(
        standard=row["standard"],
        rating=rating,
        facing=facing or row["facing"],
        od=inches(row["od_in"]),
        thickness=inches(row["thickness_in"]),
        face=Fraction(0) if faced_off else inches(row["face_in"]),
        face_dia=None if faced_off else cell("face_dia_in"),
        bolt_circle=inches(row["bolt_circle_in"]),
        hole=inches(row["hole_in"]),
        bolts=int(row["bolts"]),
        bolt=decimal(row["bolt_in"]),
        hubs=tuple((name, inches(row[column])) for name, column in _HUBS.items() if row[column]),
        socket_depth=cell("socket_depth_in"),
        stud=None if faced_off else cell("stud_in"),
        machine_bolt=None if faced_off else cell("machine_bolt_in"),
    )


def same_drilling(nps: Size, a: str, b: str) -> bool | None:
    """Whether flanges of classes `a` and `b` bolt to one another at this size; None if it is not in the tables."""
    first, second = (flange(nps, DRILLED_AS.get(rating, rating)) for rating in (a, b))
    if first is None or second is None:
        return None
    return first.drilling == second.drilling


def gasket(nps: Size, rating: str, shape: str = "ring") -> GasketDims | None:
    """The flat gasket (`ring` or `full face`) of a size and class. ASME B16.21; full-face drilling as the flange.

    Full-face gaskets are for class 125 and 150; for 250 and 300 they are not in the tables.
    """
    drilled = DRILLED_AS.get(rating)
    row = next((r for r in table("gaskets") if (r["class"], r["nps"]) == (drilled, nps.label)), None)
    if row is None:
        return None
    inside = inches(row["id_in"])
    if shape == "ring":
        return GasketDims(shape, inside, inches(row["ring_od_in"]))
    over = flange(nps, "150")
    if shape != "full face" or drilled != "150" or over is None:
        return None
    return GasketDims(shape, inside, over.od, over.bolt_circle, over.hole, over.bolts)


@cache
def bolt(diameter: Fraction) -> BoltDims | None:
    """Flange bolting of a diameter in inches: coarse thread to 1 in, 8-thread series above; heavy hex nut."""
    row = next((r for r in table("bolting") if decimal(r["bolt_in"]) == diameter), None)
    if row is None:
        return None
    return BoltDims(
        f"{row['bolt']}-{row['tpi']} {row['thread']}",
        int(row["tpi"]),
        *(decimal(row[c]) for c in ("nut_flats_in", "nut_height_in", "head_height_in", "washer_in")),
    )
