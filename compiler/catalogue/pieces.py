"""The pieces that the join pass may put between two ends, made for a spec's rows."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from ..model.declared import Spec, SpecRow
from ..model.ends import End
from ..model.kind import Kind
from ..model.size import SIZES, Size, size
from .dimensions import weld_reducer
from .tables import table

#: A piece that keeps metals apart in another way than the spec chooses.
_WAY_PENALTY = 20
#: Facing a flange otherwise than the spec says, to meet a flat-faced neighbour.
_FACING_PENALTY = 1

#: The standard of threaded and soldered fittings by material, and of unions; the first that is named. From memory.
_FITTING_STANDARDS = {
    "malleable iron": ("ASME B16.3", "ASME B16.39"),
    "forged steel": ("ASME B16.11", "MSS SP-83"),
    "cast iron": ("ASME B16.4", ""),
    "stainless steel": ("MSS SP-114", ""),
    "cast copper": ("ASME B16.18", "ASME B16.18"),
    "copper": ("ASME B16.22", "ASME B16.22"),
    "brass": ("ASME B16.15", ""),
    "bronze": ("ASME B16.15", ""),
}

#: The forms that a fitting and a cut pipe have at home under each way of joining.
FITTING_FORM = {"welded": "bevel", "threaded": "female thread", "soldered": "cup", "grooved": "groove"}
PIPE_FORM = {"welded": "pipe", "threaded": "male thread", "soldered": "tube", "grooved": "groove"}


class Piece(NamedTuple):
    """One way to put one piece in: it takes `near` and offers `far`."""

    kind: Kind
    near: End
    far: End
    made_of: str
    breaks: bool
    cost: int
    is_pipe: bool


@cache
def piece_kinds() -> dict[str, Kind]:
    """A component kind for every piece of the table."""
    made: dict[str, Kind] = {}
    for row in table("pieces"):
        abilities = set()
        if row["breaks"] == "yes":
            abilities.add("breaks")
        if row["way"]:
            abilities.add("separates metals")
        standard = "" if row["standard"].startswith("by ") else row["standard"]
        made.setdefault(
            row["name"],
            Kind(
                row["name"], (), row["group"], "inline", frozenset(abilities), (), seat=row["seat"], standard=standard
            ),
        )
    return made


def standard_of(made_of: str, union: bool) -> str:
    """The dimensional standard of fittings of some material, empty where none is known here."""
    for words, (fitting, union_standard) in _FITTING_STANDARDS.items():
        if words in made_of:
            return union_standard if union else fitting
    return ""


def fittings_text(row: SpecRow, form: str) -> str:
    """Fittings of a row as the bill prints them; butt-weld ones are of their pipe's schedule (common practice).

    Where the spec names a schedule or weight of theirs, that holds.
    """
    said = any(word in row.fittings.lower() for word in (" schedule ", " weight", " strong"))
    return row.fittings if form != "bevel" or said else f"{row.fittings} schedule {row.wall}"


class PieceBook:
    """The pieces that one spec allows, by near form and size; made when first asked for."""

    def __init__(self, spec: Spec) -> None:
        self.spec = spec
        self._known: dict[tuple[Size, bool], list[Piece]] = {}

    def at(self, near: Size, level: bool) -> list[Piece]:
        """All pieces with one end of size `near`, both ways round."""
        key = (near, level)
        if key not in self._known:
            self._known[key] = self._make(near, level)
        return self._known[key]

    def _make(self, near: Size, level: bool) -> list[Piece]:
        made: list[Piece] = []
        for entry in table("pieces"):
            if entry["stands"] and (entry["stands"] == "level") != level:
                continue
            low, high = size(entry["from"]), size(entry["to"])
            if not low <= near <= high:
                continue
            if entry["sizes"] == "same":
                pairs = [(near, near)]
            else:
                pairs = [(near, s) for s in SIZES if low <= s < near] + [(s, near) for s in SIZES if near < s <= high]
            for large, small in pairs:
                made.extend(self._turned(entry, large, small, near))
        return made

    def _turned(self, entry: dict[str, str], large: Size, small: Size, near: Size) -> list[Piece]:
        """One entry at one pair of sizes, as it can face: both ways round, with each facing its flange can have."""
        row_a, row_b = self.spec.row(large), self.spec.row(small)
        if row_a is None or row_b is None:
            return []
        # A reducer belongs to the row of its large end.
        if entry["joined"] != "any" and row_a.joined not in entry["joined"].split("|"):
            return []
        if entry["form_a"] == entry["form_b"] == "bevel" and weld_reducer(large, small) is None:
            return []
        if entry["flange"] not in ("", "any", row_a.flange):
            return []
        cost = int(entry["cost"])
        chosen = self.spec.dissimilar_small if small <= size("2") else self.spec.dissimilar_large
        if entry["way"] and entry["way"] != chosen:
            cost += _WAY_PENALTY
        kind = piece_kinds()[entry["name"]]
        breaks = entry["breaks"] == "yes"
        made_of = fittings_text(row_a, entry["form_a"]) if entry["metal_a"] == "fitting" else pipe_text(row_a)
        if entry["metal_a"] not in ("fitting", "pipe"):
            made_of = entry["metal_a"]
        elif entry["group"] == "flanges":
            made_of = _metal(entry["metal_a"], row_a)
            if made_of == row_a.metal:
                made_of = f"{made_of} {row_a.flange_grade}".rstrip()
            if entry["form_a"] == "bevel":
                made_of += f", bored for schedule {row_a.wall}"
        a = End(entry["form_a"], large, _metal(entry["metal_a"], row_a))
        found: list[Piece] = []
        for b, extra in _far_ends(entry, small, row_a):
            for one, other in ((a, b), (b, a)):
                if one.size is near:
                    found.append(Piece(kind, one, other, made_of, breaks, cost + extra, entry["group"] == "pipe"))
            if a == b:
                found.pop()
        return found


def _far_ends(entry: dict[str, str], small: Size, row: SpecRow) -> list[tuple[End, int]]:
    """End b of an entry and what it costs extra; a steel flange comes raised or flat faced."""
    metal = _metal(entry["metal_b"], row)
    if entry["form_b"] != "flange":
        return [(End(entry["form_b"], small, metal), 0)]
    rating = row.rating or "150"
    if entry["seat"]:  # its seal lies in its face, and seals on either facing
        return [(End("flange", small, metal, rating), 0)]
    if metal in ("bronze", "brass"):
        return [(End("flange", small, metal, rating, "FF"), 0)]
    asked = row.facing or "RF"
    return [
        (End("flange", small, metal, rating, facing), 0 if facing == asked else _FACING_PENALTY)
        for facing in ("RF", "FF")
    ]


def _metal(said: str, row: SpecRow) -> str:
    return {"pipe": row.metal, "fitting": row.fitting_metal}.get(said, said)


def pipe_text(row: SpecRow) -> str:
    """Pipe as the bill prints it: `carbon steel schedule 40`, `copper type L`."""
    metal = f"{row.metal} {row.pipe_grade}".rstrip()
    return f"{metal} {'type' if row.metal == 'copper' else 'schedule'} {row.wall}"
