"""What a port presents to its neighbour."""

from __future__ import annotations

from typing import NamedTuple

from .size import Size

#: The forms an end can have. `pipe` is the end of a cut pipe, ready to weld; `tube` the end of a cut copper tube;
#: `slip bore` the bore of a slip-on flange; `cup` a solder socket; `socket` a weld socket.
FORMS = (
    "pipe",
    "bevel",
    "slip bore",
    "socket",
    "male thread",
    "female thread",
    "tube",
    "cup",
    "groove",
    "flange",
    "lug",
    "wafer",
    "hose thread",
    "closed",
)

#: Metals that may touch each other wet without separation share a family. Bronze and brass sit between copper and
#: steel: they count as the separation. Source: practice collected for dissimilar metals (docs/sources.md, rule
#: `dissimilar-metals`).
FAMILY = {
    "carbon steel": "ferrous",
    "galvanized steel": "ferrous",
    "malleable iron": "ferrous",
    "iron": "ferrous",
    "ductile iron": "ferrous",
    "copper": "copper",
    "bronze": "between",
    "brass": "between",
    "stainless steel": "stainless",
}


class End(NamedTuple):
    """One end: its form, nominal size, metal, and for flanges the class (`150`) and facing (`RF`, `FF`)."""

    form: str
    size: Size
    metal: str
    rating: str = ""
    facing: str = ""

    def __str__(self) -> str:
        words = [str(self.size), self.form]
        if self.rating and self.form in ("flange", "lug", "wafer"):
            words.insert(1, f"class {self.rating}")
        if self.facing:
            words.append({"RF": "raised face", "FF": "flat face"}.get(self.facing, self.facing))
        return " ".join(words)


def must_separate(a: str, b: str) -> bool:
    """Whether two metals need a dielectric fitting, an insulated flange kit, or bronze between them ."""
    return a != b and {FAMILY.get(a), FAMILY.get(b)} == {"ferrous", "copper"}
