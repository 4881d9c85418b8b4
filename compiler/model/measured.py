"""What the lengths of a file make of a hookup: straights that add up, cut lengths, and places in space."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal, TypeAlias

from .span import Origin
from .table import Unknown

#: Right, toward and up from the bench mark, as seen facing the coil's connections; inches.
Vector: TypeAlias = tuple[Fraction, Fraction, Fraction]
#: The same for what needs no exact sum: middles of pieces, centres of gravity.
Point: TypeAlias = tuple[float, float, float]
#: A mark: a component, and the port where it has no centre of its own (a coil, a main); empty for all others.
Mark: TypeAlias = tuple[str, str]

#: Where the length of a straight comes from.
How = Literal["as given", "close coupled", "from its ends", "allowed", "not given", "not known"]


@dataclass(frozen=True, slots=True)
class Part:
    """One term of a straight: the take-out of the thing at its end, a gap or make-up, a piece between, or the cut."""

    sort: Literal["take-out", "gap", "piece", "cut"]
    what: str  # `elbow 3`, `butt weld`, `slip-on flange 3`
    length: Fraction | Unknown
    source: str
    id: str = ""  # of the component; empty for a joint


@dataclass(slots=True)
class Straight:
    """A straight stretch between two marks. `centres` = the sum of its parts, where all of them are known."""

    line: str
    a: Mark
    port_a: str
    b: Mark
    port_b: str
    heading: str  # its direction; `offset` along the travel of an offset; empty: not known
    centres: Fraction | Unknown
    how: How
    parts: tuple[Part, ...]
    run: str  # id of its run of pipe; empty: there is none
    vector: Vector | None  # from a to b
    origin: Origin
    taken: bool = False  # the file does not say the direction: the usual one is taken
    pitch: Fraction = Fraction(0)  # inches per foot that a level straight rises; below zero it falls
    rise: Fraction = Fraction(0)  # of the centreline at its eccentric reducers, inches


@dataclass(frozen=True, slots=True)
class Miss:
    """A line whose moves do not lead to its end: by how much they end too far right, toward and up, inches."""

    line: str
    by: Vector
    span: Origin


@dataclass(frozen=True, slots=True)
class Stretch:
    """Where a component in line lies: from its one end face to the other, along the flow."""

    start: Point
    end: Point

    @property
    def middle(self) -> Point:
        """Half way."""
        (a, b, c), (d, e, f) = self.start, self.end
        return ((a + d) / 2, (b + e) / 2, (c + f) / 2)


@dataclass(slots=True)
class Layout:
    """Pieces in space, in the frames of their islands.

    `stretches`: the pieces between two marks. `faces`: where a port of a component at a mark ends.
    """

    stretches: dict[str, Stretch] = field(default_factory=dict)
    faces: dict[tuple[str, str], Point] = field(default_factory=dict)


@dataclass(slots=True)
class Measured:
    """What `measure` finds. Ids are those of components.

    `cuts`: the length of every run and of every piece of pipe that stands for itself, end to end. `rests`: of the runs
    in whose straight such pieces or nipples stand, what those leave of its length, centre to centre. `marks`: places;
    `islands`: what is tied together by lengths shares one, and island 0 has the bench mark. `layout` is there once
    `passes.stretches.layout` was asked for it.
    """

    straights: list[Straight] = field(default_factory=list)
    cuts: dict[str, Fraction | Unknown] = field(default_factory=dict)
    marks: dict[Mark, Vector] = field(default_factory=dict)
    islands: dict[Mark, int] = field(default_factory=dict)
    rests: dict[str, Fraction] = field(default_factory=dict)
    misses: list[Miss] = field(default_factory=list)
    layout: Layout | None = None
