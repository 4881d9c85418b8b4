"""The syntax tree of a hookup file: what was written, in order, with its place. No meaning yet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ..model.span import Span

AtomKind = Literal["word", "tag", "size", "number", "quantity", "string"]


@dataclass(slots=True)
class Atom:
    """One word of the language.

    kind       text
    word       lower-case trade word or lower-case name, `butterfly`, `chilled-glycol`
    tag        `BV-*01`
    size       a bare number that can be a nominal size, as written with plain characters: `2-1/2`, `DN80`, `0`
    number     a bare decimal: `0.5`
    quantity   a number with its unit, as written: `3 ft 2-1/2 in`, `125 psi`, `30 %`, `1/8 in per ft`
    string     the text between the quotation marks
    """

    kind: AtomKind
    text: str
    span: Span


@dataclass(slots=True)
class Phrase:
    """One comma-separated piece of a line: at least one atom."""

    atoms: tuple[Atom, ...]

    @property
    def span(self) -> Span:
        """The stretch from its first to its last atom."""
        return self.atoms[0].span.to(self.atoms[-1].span)

    @property
    def text(self) -> str:
        """Its atoms, single-spaced."""
        return " ".join([a.text for a in self.atoms])


@dataclass(slots=True)
class Comment:
    """A comment with its `#`. `own_line` is False for one that stands behind something."""

    text: str
    span: Span
    own_line: bool


@dataclass(slots=True, kw_only=True)
class Node:
    """What every line of the file has.

    `span` covers the line itself without its block; `before` are the comments and blank lines (None) that stand above
    it in its own block; `trailing` is the comment at its line end.
    """

    span: Span
    before: tuple[Comment | None, ...] = ()
    trailing: Comment | None = None


@dataclass(slots=True)
class Fact(Node):
    """A line that declares something about the block it stands in: `design 125 psi, 24 degF to 100 degF`."""

    phrases: tuple[Phrase, ...]
    block: tuple[Fact, ...] = ()


@dataclass(slots=True)
class Project(Node):
    """`project "Saltmarsh Aquarium"`."""

    title: Atom


@dataclass(slots=True)
class Use(Node):
    """`use "shop.hookup"`."""

    path: Atom


@dataclass(slots=True)
class Service(Node):
    """`service NAME` and its facts."""

    name: Atom
    block: tuple[Fact, ...]


@dataclass(slots=True)
class Spec(Node):
    """`spec NAME` or `spec NAME, like OTHER` and its facts."""

    name: Atom
    details: tuple[Phrase, ...]
    block: tuple[Fact, ...]


@dataclass(slots=True)
class KindDef(Node):
    """`kind duplex strainer, like basket strainer` and its facts: a component kind of the user's own."""

    name: Phrase
    details: tuple[Phrase, ...]
    block: tuple[Fact, ...]


@dataclass(slots=True)
class Lengths(Node):
    """`lengths of balancing valve, flanged` and lines `2-1/2, 11-1/2 in`: a maker's face-to-face dimensions."""

    name: Phrase
    details: tuple[Phrase, ...]
    block: tuple[Fact, ...]


@dataclass(slots=True)
class Weights(Node):
    """`weights of balancing valve, flanged` and lines `2-1/2, 62 lb`: what a maker says they weigh."""

    name: Phrase
    details: tuple[Phrase, ...]
    block: tuple[Fact, ...]


@dataclass(slots=True)
class Assembly(Node):
    """`assembly hose drain, drains` and the items from the outlet outward."""

    name: Phrase
    details: tuple[Phrase, ...]
    block: tuple[Step, ...]


@dataclass(slots=True)
class Typical(Node):
    """`typical NAME, drawn with airflow left to right` and its body."""

    name: Atom
    details: tuple[Phrase, ...]
    block: tuple[Part, ...]


@dataclass(slots=True)
class Unit(Node):
    """`unit GA-1 is gallery-pair, number 1, airflow right to left`; `of` is None for a unit written out in full."""

    tag: Atom
    of: Atom | None
    details: tuple[Phrase, ...]
    block: tuple[Part | Change, ...]


@dataclass(slots=True)
class Takeoff(Node):
    """`takeoff` and its settings."""

    block: tuple[Fact, ...]


@dataclass(slots=True)
class Rules(Node):
    """`rules` and what the file says of them."""

    block: tuple[Fact, ...]


@dataclass(slots=True)
class Coil(Node):
    """`coil TRIM on chilled-glycol` and its facts; `service` is None when not said."""

    tag: Atom
    service: Atom | None
    details: tuple[Phrase, ...]
    block: tuple[Fact, ...]


@dataclass(slots=True)
class Point:
    """An end of a line: `main CGS` (is_main), `T-*1`, `PRE supply`, `TCV-*01 bypass` (port: the word behind it).

    `service` is what a main is said to carry: `main CW on city-water`.
    """

    is_main: bool
    tag: Atom
    port: Atom | None
    span: Span
    service: Atom | None = None


@dataclass(slots=True)
class Line(Node):
    """`supply to TRIM, 4`; `return from TRIM, 4`; `crossover from T-*1 to T-*3, 2-1/2` (word = `crossover`).

    For `supply to COIL` and `return from COIL` only `end` or `start` is set here; the other end is a step of the block.
    """

    word: Atom
    start: Point | None
    end: Point | None
    details: tuple[Phrase, ...]
    block: tuple[Step, ...]


@dataclass(slots=True)
class Item(Node):
    """A component or assembly: the first phrase holds the kind's words, then tag and size in any order.

    A non-empty `block` is the branch off this item, in order away from it.
    """

    phrases: tuple[Phrase, ...]
    block: tuple[Step, ...] = ()


@dataclass(slots=True)
class Leg:
    """One direction of a move, with its length atom if it has one; `about` if the length is an allowance."""

    direction: Atom
    length: Atom | None
    about: bool


@dataclass(slots=True)
class Move(Node):
    """`left 1 ft 6 in`; `up 1 ft, right 8 in, at 45`; `down 6 ft, field fit`; `about 12 ft` (no legs, `length` set).

    More than one leg belongs to an offset. `details` holds `field fit`, `at 45`, `pitch 1/8 in per ft` …
    """

    legs: tuple[Leg, ...]
    details: tuple[Phrase, ...]
    length: Atom | None = None


@dataclass(slots=True)
class Endpoint(Node):
    """`from main CGS` or `to T-*1` as a step of a line."""

    word: Atom
    point: Point
    details: tuple[Phrase, ...]


@dataclass(slots=True)
class Through(Node):
    """`through floor`: a penetration, with its details."""

    what: Phrase
    details: tuple[Phrase, ...]


@dataclass(slots=True)
class Change(Node):
    """How one unit differs from its typical.

    verb      target            argument
    omit      tag               -
    resize    tag               `to SIZE`: the size atom
    replace   tag               `with ITEM`
    add       tag, `after`/`before` in `where`    the item
    """

    verb: Atom
    target: Atom | None
    where: Literal["", "after", "before"]
    item: Item | None
    size: Atom | None


@dataclass(slots=True)
class Lineup(Node):
    """`lineup "separate"` and its lines (`open XV-*01, XV-*02`; `closed …`; `expect PRE on chilled-glycol`)."""

    name: Atom
    block: tuple[Fact, ...]


@dataclass(slots=True)
class Cabinet(Node):
    """`cabinet 72 in wide, 60 in high, at left 4 in, down 6 in`: the box that the coils stand in."""

    details: tuple[Phrase, ...]


Step = Item | Move | Endpoint | Through
Part = Coil | Line | Lineup | Cabinet
Statement = Project | Use | Service | Spec | KindDef | Lengths | Weights | Assembly | Typical | Unit | Takeoff | Rules


@dataclass(slots=True)
class Tree:
    """One parsed file: its statements, and the comments and blank lines behind the last of them."""

    file: str
    text: str
    statements: tuple[Statement, ...]
    after: tuple[Comment | None, ...] = ()
