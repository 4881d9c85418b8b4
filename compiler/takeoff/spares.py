"""Waste of pipe and tube, spares of gaskets, bolts, nuts and fittings, as a file's takeoff block asks for them."""

from __future__ import annotations

from collections.abc import Mapping

from ..model.declared import TakeoffSettings
from .tally import spare, trimmed

#: How many heavy hex nuts stand on a bolt, by its name in the bill.
_NUTS_ON = {"stud": 2, "machine bolt": 1, "cap screw": 0}
NUT = "heavy hex nut"
#: Groups of the bill, and what a file calls their spares.
_SPARES = {"gaskets": "gaskets", "bolting": "bolts", "fittings": "fittings"}

#: What a row of the bill is known by: group, size, description, standard, unit.
Key = tuple[str, ...]


def extras(totals: Mapping[Key, float], settings: TakeoffSettings) -> dict[Key, float]:
    """What is bought on top of each row of the bill; nothing of those for which the file asks for none.

    Spare nuts are those that the spare bolts take, each row of which is rounded up to whole ones by itself.
    """
    made: dict[Key, float] = {}
    nuts: dict[str, int] = {}  # by thread
    for key, total in totals.items():
        if key[0] == "pipe":
            share = settings.waste_of(key[2].split(",")[0]) if key[4] == "ft" else 0.0
            if share:
                made[key] = trimmed(total * share)
            continue
        share = settings.spares.get(_SPARES.get(key[0], ""), 0.0)
        if not share:
            continue
        made[key] = more = spare(total, share)
        name, _, rest = key[2].partition(", ")
        if name in _NUTS_ON:
            thread = rest.split(" x ")[0]
            nuts[thread] = nuts.get(thread, 0) + _NUTS_ON[name] * more
    for thread, number in nuts.items():
        rows = [key for key in made if key[2].split(", ")[:2] == [NUT, thread]]
        if len(rows) == 1:  # of several grades each has its own share, since bolts do not tell which nut is theirs
            made[rows[0]] = number
    return made
