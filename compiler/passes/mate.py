"""Which two ends go together, and what the joint is called."""

from __future__ import annotations

from typing import NamedTuple

from ..catalogue.flanges import DRILLED_AS
from ..model.ends import End, must_separate

#: Forms that meet -> (joint, can be opened with both neighbours staying, cost of the joint in the search).
#: Costs are preferences, common practice, no source. Two cut ends of one pipe are the same piece: no joint at all.
_PAIRS: dict[tuple[str, str], tuple[str, bool, int]] = {
    ("pipe", "pipe"): ("same piece", False, 0),
    ("tube", "tube"): ("same piece", False, 0),
    ("pipe", "bevel"): ("butt weld", False, 3),
    ("bevel", "bevel"): ("butt weld", False, 3),
    ("pipe", "slip bore"): ("slip-on weld", False, 3),
    ("pipe", "socket"): ("socket weld", False, 2),
    ("male thread", "female thread"): ("threaded", False, 1),
    ("tube", "cup"): ("soldered", False, 1),
    ("groove", "groove"): ("grooved", True, 2),
    ("groove", "groove clamp"): ("clamped", True, 2),
    ("flange", "flange"): ("bolted", True, 2),
    ("flange", "lug"): ("bolted", True, 2),
    # A wafer body is held by the bolts of both its flanges: undo one side and the other is loose too.
    ("flange", "wafer"): ("bolted", False, 2),
}

#: Putting in an insulating flange kit, where the spec does not choose that way.
_KIT_PENALTY = 20


class Mate(NamedTuple):
    """A joint between two ends: its name, whether it can be opened, whether it takes an insulating kit, its cost."""

    kind: str
    breaks: bool
    kit: bool
    cost: int


def mate(a: End, b: End, kit_chosen: bool) -> Mate | None:
    """The joint between two ends, or None if they do not go together.

    They need one size, forms that meet, flanges of one drilling whose faces agree, and metals that may touch: copper
    against steel or iron only passes through flanges with an insulating kit (`kit_chosen`: the spec wants it so).
    """
    pair = _PAIRS.get((a.form, b.form)) or _PAIRS.get((b.form, a.form))
    if pair is None or a.size is not b.size:
        return None
    kind, breaks, cost = pair
    kit = False
    if kind == "bolted" and not _faces_agree(a, b):
        return None
    if must_separate(a.metal, b.metal) and "lug" not in (a.form, b.form) and "wafer" not in (a.form, b.form):
        if (a.form, b.form) != ("flange", "flange"):
            return None
        kit = True
        cost += 0 if kit_chosen else _KIT_PENALTY
    return Mate(kind, breaks, kit, cost)


def same_drilling(a: End, b: End) -> bool:
    """Whether the bolt holes of two flanged ends line up."""
    return DRILLED_AS.get(a.rating, a.rating) == DRILLED_AS.get(b.rating, b.rating)


def _faces_agree(a: End, b: End) -> bool:
    """One drilling, and the same facing on both; a lug or wafer body with none of its own seals on either.

    An iron wafer body is flat-faced as an iron flange is: a raised face would bend it.
    """
    if not same_drilling(a, b):
        return False
    return a.facing == b.facing or not (a.facing and b.facing)
