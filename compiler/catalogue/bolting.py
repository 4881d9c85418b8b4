"""Bolt lengths from what is clamped, and the bolts of a flanged joint.

Lengths are in inches, as exact fractions; every result carries the sum that it was rounded from, for `why` to show.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from .flanges import BoltDims, FlangeDims, bolt
from .limits import limit

#: What can be bought: bolts and studs in steps of a quarter inch. Common practice, no source.
STOCK_STEP = Fraction(1, 4)
#: How much thicker than its least thickness a flange may be, to NPS 18. ASME B16.5, tolerances; read as the `t` of
#: nonmandatory appendix C. Above NPS 18 (ASME B16.47) it is 0.19.
OVER_THICKNESS = Fraction("0.12")
#: A sum may stand this much above a stock step and still be bought as that step: what is lost where a standard rounds
#: its terms to two places. Found by trial on the 56 bolt lengths of ASME B16.5 (tests/published/test_bolting.py).
_ROUNDING = Fraction(1, 64)
#: The longest gasket of the bolt lengths printed in ASME B16.5 and B16.1.
_TABLE_GASKET = Fraction(1, 8)
#: Room left between the ends of two cap screws that meet in one lug, for each. Common practice, no source.
_LUG_CLEARANCE = Fraction(1, 16)

METHOD = "method of ASME B16.5, nonmandatory appendix C"
LUG_PRACTICE = "common practice, no source"
WASHER_PRACTICE = "thickness of the washers from memory, common practice"

Term = tuple[str, Fraction]


class Clamped(NamedTuple):
    """One flange as a bolt sees it: least thickness without face, height of its raised face, what to call it."""

    thickness: Fraction
    face: Fraction = Fraction(0)
    name: str = "flange"


class BoltLength(NamedTuple):
    """A length to buy, the sum of the terms that it must cover, the terms, and where the length comes from."""

    length: Fraction
    needed: Fraction
    terms: tuple[Term, ...]
    source: str


class ScrewLength(NamedTuple):
    """A cap screw into a lug. Where no stock length fits, `length` and `engagement` are None and `why_not` says why."""

    length: Fraction | None
    engagement: Fraction | None
    terms: tuple[Term, ...]
    why_not: str = ""


class BoltSet(NamedTuple):
    """The bolts of one joint, or of one side of a lug body: how many, of what, and how many heavy hex nuts on each."""

    style: str  # studs, machine bolts, cap screws
    number: int
    diameter: Fraction
    dims: BoltDims
    nuts: int
    length: Fraction | None  # to buy; None where no stock length fits
    terms: tuple[Term, ...]  # what the length must cover
    source: str
    why_not: str = ""  # why no stock length fits

    @property
    def needed(self) -> Fraction:
        """The sum of the terms, before it is made a stock length, inches."""
        return sum((inches for _, inches in self.terms), Fraction(0))


def kit_washers() -> tuple[Term, ...]:
    """What an insulating flange kit puts under each nut and each head, inches. From memory, common practice.

    >>> [(name, str(inches)) for name, inches in kit_washers()]
    [('insulating washer', '1/8'), ('steel washer', '1/8')]
    """
    return tuple((name, limit(name)) for name in ("insulating washer", "steel washer"))


def _round_up(needed: Fraction) -> Fraction:
    return math.ceil((needed - _ROUNDING) / STOCK_STEP) * STOCK_STEP


def _grip(
    flanges: Sequence[Clamped],
    gaskets: Sequence[Fraction],
    body: Fraction,
    washers: Sequence[Term],
    tolerance: Fraction,
) -> list[Term]:
    """What lies between head and nut, at its thickest."""
    terms: list[Term] = []
    for one in flanges:
        terms.append((f"{one.name}, least thickness", one.thickness))
        terms.append((f"{one.name}, thickness tolerance", tolerance))
        terms.append((f"{one.name}, raised face", one.face))
    terms += [("gasket", thickness) for thickness in gaskets]
    terms.append(("body between the flanges", body))
    terms += [*washers, *washers]
    return [term for term in terms if term[1]]


def _length(terms: Sequence[Term], washers: Sequence[Term]) -> BoltLength:
    needed = sum((inches for _, inches in terms), Fraction(0))
    source = f"{METHOD}; {WASHER_PRACTICE}" if washers else METHOD
    return BoltLength(_round_up(needed), needed, tuple(terms), source)


def stud_length(
    flanges: Sequence[Clamped],
    gaskets: Sequence[Fraction],
    diameter: Fraction,
    body: Fraction = Fraction(0),
    washers: Sequence[Term] = (),
    tolerance: Fraction = OVER_THICKNESS,
) -> BoltLength:
    r"""Length of a stud with a heavy hex nut on each end, points not counted.

    .. math:: L = \sum (C + f + t) + \sum G + B + 2 \sum w + 2 d

    rounded up to the stock quarter inch.

    Parameters
    ----------
    flanges : sequence of Clamped
        The flanges between the nuts: least thickness `C` and raised face `f` of each, [in]
    gaskets : sequence of Fraction
        Thickness `G` of each gasket (none where a resilient seat seals on the flange), [in]
    diameter : Fraction
        Nominal bolt diameter `d`, which is the height allowed for a nut, [in]
    body : Fraction
        Face-to-face length `B` of a wafer body between the flanges, [in]
    washers : sequence of Term
        Name and thickness `w` of each washer under each nut, [in]
    tolerance : Fraction
        How much thicker than `C` a flange may be, `t`, [in]

    Returns
    -------
    BoltLength
        Length to buy, the sum before rounding and its terms, [in]

    Notes
    -----
    For two equal flanges this is the sum of appendix C, 2 (C + t + d) + G + F - a, with a = 0 (no lap joint). Unequal
    flanges, a body between them and washers are our extension of it: common practice, no source. It gives all 28 stud
    lengths printed for class 150 and 300, NPS 1/2 to 12. The minus tolerance on the length of a stud is not added:
    adding it breaks several of those rows.

    Examples
    --------
    Two class 150 NPS 4 raised-face flanges with a 1/8 gasket, 5/8 studs. ASME B16.5 prints 3-1/2.

    >>> flange = Clamped(Fraction(7, 8), Fraction(1, 16))
    >>> found = stud_length([flange, flange], [Fraction(1, 8)], Fraction(5, 8))
    >>> float(found.needed), str(found.length)
    (3.49, '7/2')

    The same with a wafer body of 2-1/16 and a gasket on each side; worked by hand: 3.49 + 2.0625 + 0.125 = 5.6775.

    >>> float(stud_length([flange, flange], [Fraction(1, 8)] * 2, Fraction(5, 8), Fraction(33, 16)).length)
    5.75

    References
    ----------
    ASME B16.5, nonmandatory appendix C, read second-hand in our own words; docs/sources.md, bolting.
    """
    grip = _grip(flanges, gaskets, body, washers, tolerance)
    return _length([*grip, ("two heavy hex nuts", 2 * diameter)], washers)


def machine_bolt_length(
    flanges: Sequence[Clamped],
    gaskets: Sequence[Fraction],
    diameter: Fraction,
    threads_per_inch: int,
    body: Fraction = Fraction(0),
    washers: Sequence[Term] = (),
    tolerance: Fraction = OVER_THICKNESS,
) -> BoltLength:
    r"""Length of a bolt under its head, with one heavy hex nut.

    .. math:: L = \sum (C + f + t) + \sum G + B + 2 \sum w + d + p

    rounded up to the stock quarter inch.

    Parameters
    ----------
    flanges : sequence of Clamped
        The flanges between head and nut: least thickness `C` and raised face `f` of each, [in]
    gaskets : sequence of Fraction
        Thickness `G` of each gasket (none where a resilient seat seals on the flange), [in]
    diameter : Fraction
        Nominal bolt diameter `d`, which is the height allowed for the nut, [in]
    threads_per_inch : int
        Threads of the bolt; the point `p` is one and a half of them, [1/in]
    body : Fraction
        Face-to-face length `B` of a wafer body between the flanges, [in]
    washers : sequence of Term
        Name and thickness `w` of each washer under the head, and under the nut, [in]
    tolerance : Fraction
        How much thicker than `C` a flange may be, `t`, [in]

    Returns
    -------
    BoltLength
        Length to buy, the sum before rounding and its terms, [in]

    Notes
    -----
    Gives 27 of the 28 lengths printed for class 150 and 300, NPS 1/2 to 12. Class 300 NPS 5 comes to 4.015, which is 4
    by the rounding that six other rows need; the standard prints 4-1/4. `bolt_set` takes the printed value.

    Examples
    --------
    Two class 150 NPS 5 raised-face flanges with a 1/8 gasket, 3/4-10 bolts. ASME B16.5 prints 3-1/4.

    >>> flange = Clamped(Fraction(7, 8), Fraction(1, 16))
    >>> found = machine_bolt_length([flange, flange], [Fraction(1, 8)], Fraction(3, 4), 10)
    >>> float(found.needed), str(found.length)
    (3.14, '13/4')

    References
    ----------
    ASME B16.5, nonmandatory appendix C, read second-hand in our own words; docs/sources.md, bolting.
    """
    point = Fraction(3, 2) / threads_per_inch
    ends = [("heavy hex nut", diameter), ("one and a half threads", point)]
    return _length([*_grip(flanges, gaskets, body, washers, tolerance), *ends], washers)


def cap_screw_length(
    flange: Clamped, gasket: Fraction, diameter: Fraction, body: Fraction, washers: Sequence[Term] = ()
) -> ScrewLength:
    r"""Length of a cap screw under its head, through one flange into the tapped lug of a body.

    .. math:: L = C + f + G + \sum w + e, \qquad d \le e \le B / 2 - 1/16

    rounded down to the stock quarter inch, so that screws from both sides do not meet.

    Parameters
    ----------
    flange : Clamped
        The flange under the head: least thickness `C` and raised face `f`, [in]
    gasket : Fraction
        Gasket thickness `G`, 0 where a resilient seat seals on the flange, [in]
    diameter : Fraction
        Nominal screw diameter `d`, the least engagement, [in]
    body : Fraction
        Face-to-face length `B` of the lug body, tapped right through, [in]
    washers : sequence of Term
        Name and thickness `w` of each washer under the head, [in]

    Returns
    -------
    ScrewLength
        Length to buy and engagement `e` with a flange of least thickness, or the reason why no stock length fits, [in]

    Notes
    -----
    Common practice, no source. A flange up to 0.12 thicker than its least thickness takes that much off the
    engagement. The maker's sheet of the valve goes before this.

    Examples
    --------
    Class 150 NPS 4 raised-face flange on a resilient-seated lug valve 2-1/16 long, 5/8 screws. Worked by hand: grip
    0.9375, most 0.9375 + 1.03125 - 0.0625 = 1.90625, so 1-3/4, engagement 0.8125.

    >>> flange = Clamped(Fraction(7, 8), Fraction(1, 16))
    >>> found = cap_screw_length(flange, Fraction(0), Fraction(5, 8), Fraction(33, 16))
    >>> str(found.length), str(found.engagement)
    ('7/4', '13/16')

    References
    ----------
    docs/sources.md, bolting.
    """
    grip = flange.thickness + flange.face + gasket + sum((inches for _, inches in washers), Fraction(0))
    deepest = body / 2 - _LUG_CLEARANCE
    length = math.floor((grip + deepest) / STOCK_STEP) * STOCK_STEP
    engagement = length - grip
    terms = [
        (f"{flange.name}, least thickness", flange.thickness),
        (f"{flange.name}, raised face", flange.face),
        ("gasket", gasket),
        *washers,
    ]
    terms = [term for term in terms if term[1]]
    if engagement < diameter:
        why_not = (
            f"a screw {float(grip + diameter):.2f} in or longer is needed to hold by one diameter, and one longer than "
            f"{float(grip + deepest):.2f} in would meet the screw from the other side; no quarter inch lies between"
        )
        return ScrewLength(None, None, tuple(terms), why_not)
    return ScrewLength(length, engagement, (*terms, ("engagement in the lug", engagement)))


def _tabulated(a: FlangeDims, b: FlangeDims, style: str, gaskets: Sequence[Fraction]) -> Fraction | None:
    """The standard's own length, if the joint is two equal flanges with one gasket that the standard allows for."""
    if a != b or len(gaskets) != 1 or gaskets[0] > _TABLE_GASKET:
        return None
    return {"studs": a.stud, "machine bolts": a.machine_bolt}.get(style)


def bolt_set(
    a: FlangeDims,
    b: FlangeDims,
    style: str,
    gaskets: Sequence[Fraction],
    body: Fraction = Fraction(0),
    washers: Sequence[Term] = (),
) -> BoltSet | None:
    """The bolts of a joint of two flanges, with a wafer body between them or not.

    The length is the standard's own where it prints one for just this joint, else by `stud_length` or
    `machine_bolt_length`.

    Parameters
    ----------
    a : FlangeDims
        One flange
    b : FlangeDims
        The other flange
    style : str
        `studs` or `machine bolts`
    gaskets : sequence of Fraction
        Thickness of each gasket, [in]
    body : Fraction
        Face-to-face length of a wafer body between the flanges, [in]
    washers : sequence of Term
        Name and thickness of each washer at each end, [in]

    Returns
    -------
    BoltSet or None
        The bolts; None if the two flanges are not drilled alike. Raises ValueError for another style
    """
    if style not in ("studs", "machine bolts"):
        raise ValueError(f"no such bolts: {style!r}")
    dims = bolt(a.bolt)
    if a.drilling != b.drilling or dims is None:
        return None
    flanges = [Clamped(one.thickness, one.face, f"class {one.rating} flange") for one in (a, b)]
    if style == "studs":
        nuts, summed = 2, stud_length(flanges, gaskets, a.bolt, body, washers)
    else:
        nuts, summed = 1, machine_bolt_length(flanges, gaskets, a.bolt, dims.threads_per_inch, body, washers)
    length, source = summed.length, summed.source
    printed = None if body or washers else _tabulated(a, b, style, gaskets)
    if printed is not None:
        length, source = printed, f"{a.standard}, bolt lengths of class {a.rating}"
    return BoltSet(style, a.bolts, a.bolt, dims, nuts, length, summed.terms, source)


def lug_screws(a: FlangeDims, gasket: Fraction, body: Fraction, washers: Sequence[Term] = ()) -> BoltSet | None:
    """The cap screws of one side of a lug body, by `cap_screw_length`.

    Parameters
    ----------
    a : FlangeDims
        The flange on this side
    gasket : Fraction
        Gasket thickness, 0 where a resilient seat seals on the flange, [in]
    body : Fraction
        Face-to-face length of the body, [in]
    washers : sequence of Term
        Name and thickness of each washer under the head, [in]

    Returns
    -------
    BoltSet or None
        The screws; None if the bolt diameter is not in the tables
    """
    dims = bolt(a.bolt)
    if dims is None:
        return None
    flange = Clamped(a.thickness, a.face, f"class {a.rating} flange")
    found = cap_screw_length(flange, gasket, a.bolt, body, washers)
    source = f"{LUG_PRACTICE}; {WASHER_PRACTICE}" if washers else LUG_PRACTICE
    return BoltSet("cap screws", a.bolts, a.bolt, dims, 0, found.length, found.terms, source, found.why_not)
