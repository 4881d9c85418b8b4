"""A hookup as read from the file: lines as steps in flow order, before there is a graph."""

from __future__ import annotations

from dataclasses import dataclass

from .hookup import NOTHING_ASKED, NOTHING_SAID, Ask, CoilFacts, Fitted, Lineup, Move, Place, Room
from .kind import Kind
from .size import Size
from .span import Origin, Span


@dataclass(frozen=True, slots=True)
class ItemStep:
    """A component in a line or branch. `size` is None where the line's holds; `branch` hangs on its side port."""

    kind: Kind
    origin: Origin
    tag: str = ""
    size: Size | None = None
    ask: Ask = NOTHING_ASKED
    closed: bool | None = None  # None: not said, which is open
    role: str = ""
    remarks: tuple[str, ...] = ()
    hand: str = ""
    branch: tuple[Step, ...] = ()
    branch_size: Size | None = None
    why: str = ""
    fitted: Fitted = NOTHING_SAID
    weight_lb: float | None = None


@dataclass(frozen=True, slots=True)
class PointRef:
    """A place that a line starts from or runs to: a main, a tagged tee, a coil or a named port."""

    tag: str
    is_main: bool
    port: str
    size: Size | None  # of a main, where it is said
    span: Span
    place: Place | None = None  # of a main's connection, where it is said
    service: str = ""  # that a main is said to carry


Step = ItemStep | Move


@dataclass(frozen=True, slots=True)
class LinePlan:
    """One line: where it starts and ends (None: not said) and what stands between, in flow order."""

    id: str
    word: str
    start: PointRef | None
    end: PointRef | None
    size: Size | None
    steps: tuple[Step, ...]
    span: Span
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CoilPlan:
    """A coil with its ports' sizes and the ends the file says they have."""

    facts: CoilFacts
    sizes: dict[str, Size]
    asks: dict[str, Ask]
    taps: tuple[tuple[str, Size, Span], ...]  # (`drain` or `vent`, size, place)


@dataclass(frozen=True, slots=True)
class Plan:
    """All that a typical or a unit written out in full says.

    `unread` are tags that stand in it on items which could not be read, each for a reason that is found there.
    """

    name: str
    drawn: str
    coils: tuple[CoilPlan, ...]
    lines: tuple[LinePlan, ...]
    lineups: tuple[Lineup, ...]
    span: Span
    cabinet: Room | None = None
    unread: frozenset[str] = frozenset()
