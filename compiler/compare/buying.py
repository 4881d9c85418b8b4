"""How a thing of the bill is bought: by the box, in whole lengths; and what a purchase's word for its unit means."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from ..model.declared import USUAL_DRUM, Pack, TakeoffSettings
from ..model.table import Table
from ..takeoff.packs import pack_of

#: Words for units that measure, by the unit of our lists, and how many of it one is: the exact inch, pound and US
#: gallon (NIST SP 811, 2008, appendix B).
_MEASURES: dict[str, dict[str, Fraction]] = {
    "ft": {
        "ft": Fraction(1),
        "feet": Fraction(1),
        "foot": Fraction(1),
        "in": Fraction(1, 12),
        "m": Fraction(10000, 3048),
        "mm": Fraction(10, 3048),
    },
    "lb": {"lb": Fraction(1), "lbs": Fraction(1), "kg": 1 / Fraction("0.45359237")},
    "gal": {"gal": Fraction(1), "gallons": Fraction(1), "l": 1 / Fraction("3.785411784")},
}
_PIECES = frozenset({"pieces", "piece", "pcs", "pc", "each", "ea", "no", "nos", "sets", "set", ""})
_EXAMPLES = {"ft": "21 ft lengths", "lb": "cans of 10 lb", "gal": "drums of 55 gal"}
#: Words for a whole length of pipe or tube.
_LENGTHS = frozenset({"lengths", "length"})
#: `boxes of 50`, `lengths of 21 ft`, `21 ft lengths`, `100 ft`, `50`: a container, how many, in what, a container.
_BY_THE_PACK = re.compile(
    r"(?:(?P<before>[a-z]+) of )?(?P<number>\d+(?:\.\d+)?) ?"
    r"(?P<unit>ft|feet|foot|in|m|mm|lbs?|kg|gal|gallons|l|pieces|pcs|pc|each|ea|sets)?"
    r"(?: (?P<after>[a-z]+))?"
)


@dataclass(frozen=True, slots=True)
class Plan:
    """What the list of stock makes of one sort of pipe, feet: how much is bought in whole lengths, and used on hand."""

    bought: float = 0.0
    on_hand: float = 0.0


@dataclass(frozen=True, slots=True)
class Shop:
    """What the files say of buying, and what follows from it for pipe: plans by size and by its name in the bill."""

    settings: TakeoffSettings = field(default_factory=TakeoffSettings)
    plans: Mapping[tuple[str, str], Plan] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Buying:
    """How one thing is bought. `amounts`: what one holds, in the bill's unit, the largest last; empty: one by one."""

    container: str = ""  # `boxes`, `lengths`
    amounts: tuple[float, ...] = ()
    unit: str = ""

    def __str__(self) -> str:
        """`boxes of 50`, `lengths of 21 ft`; empty where it is bought one by one."""
        unit = f" {self.unit}" if self.unit in _MEASURES else ""
        return f"{self.container} of {self.amounts[-1]:g}{unit}" if self.amounts else ""

    def packs(self, amount: float) -> int:
        """How many of the largest hold an amount."""
        return math.ceil(round(amount / self.amounts[-1], 6))

    def whole(self, amount: float) -> float:
        """An amount in whole ones of the largest; the amount itself where it is bought one by one."""
        return self.packs(amount) * self.amounts[-1] if self.amounts and amount > 0 else amount


def plans_of(stock: Table) -> dict[tuple[str, str], Plan]:
    """The plans by size and name, from the list `stock`: what is cut from which length."""
    made: dict[tuple[str, str], Plan] = {}
    for row in stock.rows:
        cells = row.cells
        count, of = cells.get("lengths"), cells.get("of")
        if not isinstance(count, int) or not isinstance(of, Fraction):
            continue
        key = (str(cells["size"]), f"{cells['sort']}, {cells['material']}")
        feet, held = float(count * of / 12), made.get(key, Plan())
        if cells["from"] == "to buy":
            made[key] = Plan(held.bought + feet, held.on_hand)
        else:
            made[key] = Plan(held.bought, held.on_hand + feet)
    return made


def buying(shop: Shop, group: str, description: str, unit: str) -> Buying:
    """How a row of the bill is bought, as far as the files say."""
    if group == "pipe":
        lengths = shop.settings.stock.get(description.split(",")[0], ()) if unit == "ft" else ()
        return Buying("lengths", tuple(sorted(float(length) / 12 for length in lengths)), unit)
    packs = shop.settings.packs
    if group == "glycol":
        pack: Pack | None = packs.get("glycol", USUAL_DRUM)
    elif group == "consumables":
        pack = packs.get(description.split(",")[0]) if unit == "lb" else None
    else:
        pack = pack_of(group, description, shop.settings)
    return Buying() if pack is None else Buying(pack.container, (pack.amount,), unit)


def factor(word: str, unit: str, how: Buying) -> Fraction | str:
    """How many of the bill's unit one of the purchase's is; a text says why that cannot be told.

    >>> box = Buying("boxes", (50.0,))
    >>> factor("box", "pieces", box), factor("boxes of 25", "pieces", box), factor("ea", "pieces", box)
    (Fraction(50, 1), Fraction(25, 1), Fraction(1, 1))
    >>> factor("20 ft lengths", "ft", Buying()), factor("lengths", "ft", Buying("lengths", (10.0, 21.0)))
    (Fraction(20, 1), 'several lengths are declared: say which, like `21 ft lengths`')
    >>> factor("kg", "ft", Buying())
    'it is counted in ft, and how much `kg` is the file does not say: write it like `21 ft lengths`'
    """
    said = " ".join(word.casefold().split()).rstrip(".")
    plain = _plainly(said, unit)
    if plain:
        return plain
    match = _BY_THE_PACK.fullmatch(said)
    if match is not None:
        each = _plainly(match["unit"] or "", unit)
        if each and (match["unit"] or unit not in _MEASURES):
            return Fraction(match["number"]) * each
    if _one_of(said, how.container) and how.amounts:
        if len(how.amounts) > 1:
            return f"several lengths are declared: say which, like `{how.amounts[-1]:g} ft lengths`"
        return Fraction(how.amounts[0])
    example = _EXAMPLES.get(unit, "boxes of 50")
    return f"it is counted in {unit}, and how much `{word}` is the file does not say: write it like `{example}`"


def _plainly(said: str, unit: str) -> Fraction:
    """The factor of a bare unit; 0 if it is of another sort."""
    if not said or said == unit:
        return Fraction(1)
    if unit in _MEASURES:
        return _MEASURES[unit].get(said, Fraction(0))
    return Fraction(1) if unit in _PIECES and said in _PIECES else Fraction(0)


def _one_of(said: str, container: str) -> bool:
    """`box` and `boxes` are one word, and so are `bag` and `bags`."""
    return bool(container) and said in (container, container.removesuffix("s"), container.removesuffix("es"))
