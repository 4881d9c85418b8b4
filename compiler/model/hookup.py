"""The hookup graph: components with typed ports, joints between them, and the lines they belong to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from .condensate import Condensate
from .declared import Service, Spec
from .ends import End
from .kind import Kind
from .measured import Measured
from .size import Size
from .span import Origin, Span
from .table import NOT_MEASURED, Unknown

if TYPE_CHECKING:
    import networkx as nx

Graph: TypeAlias = "nx.MultiDiGraph[str]"

#: left and right change places in a mirror; the other four do not.
MIRRORED = {"left": "right", "right": "left"}
OPPOSITE = {"up": "down", "down": "up", "left": "right", "right": "left", "toward": "away", "away": "toward"}
#: The line of space that a direction lies on: 0 left and right, 1 toward and away, 2 up and down.
AXIS = {"left": 0, "right": 0, "away": 1, "toward": 1, "down": 2, "up": 2}

#: The joint between two ends that nothing in the spec brings together.
NOT_MADE_UP = "not made up"
#: The form of an end that could not be settled; what is wrong is found where that was tried.
UNSETTLED = "unsettled"


@dataclass(frozen=True, slots=True)
class Leg:
    """A direction as seen facing the coil's connections, and a length in inches if it is given."""

    direction: str
    length: Fraction | None

    def mirrored(self) -> Leg:
        """The same leg for the other airflow hand."""
        return Leg(MIRRORED.get(self.direction, self.direction), self.length)


@dataclass(frozen=True, slots=True)
class Place:
    """`at right 14 in, up 6 in, toward 3 in`: how far from the unit's bench mark, inches; None: not said."""

    right: Fraction | None
    toward: Fraction | None
    up: Fraction | None
    span: Span

    def mirrored(self) -> Place:
        """The same place for the other airflow hand."""
        return Place(None if self.right is None else -self.right, self.toward, self.up, self.span)


@dataclass(frozen=True, slots=True)
class Room:
    """A box on an upright face: the cabinet behind it, or the space before it that a coil is pulled out through.

    Inches from the unit's bench mark; a depth that is not said is None.
    """

    left: Fraction
    right: Fraction
    bottom: Fraction
    top: Fraction
    face: Fraction  # how far toward the reader its face lies
    deep: Fraction | None
    span: Span

    def mirrored(self) -> Room:
        """The same box for the other airflow hand."""
        return replace(self, left=-self.right, right=-self.left)


@dataclass(frozen=True, slots=True)
class Move:
    """A piece of the way of a line. No legs: pipe whose direction is not said (`about 12 ft`, `through floor`)."""

    legs: tuple[Leg, ...]
    span: Span
    length: Fraction | None = None  # of a move without legs
    about: bool = False
    field_fit: bool = False
    at_45: bool = False
    pitch: Fraction | None = None  # inches per foot, below zero where it falls as the line is written
    through: str = ""
    mark: str = ""  # something on the pipe that is no part of its way, such as a hanger
    hole_in: Fraction | None = None  # inside diameter of the hole or sleeve that it goes through, inches
    along: str = ""  # of an offset: the direction of the line on both sides of it, filled in by `route`
    short_radius: bool = False  # of the elbow at its start
    place: Place | None = None  # of a penetration: where the floor or wall is

    @property
    def rise(self) -> int:
        """1 up, -1 down, 0 level (or not said)."""
        return sum({"up": 1, "down": -1}.get(leg.direction, 0) for leg in self.legs)


@dataclass(frozen=True, slots=True)
class Fitted:
    """How the file says a component is fitted. Empty or None where it is silent."""

    stem: str = ""  # a direction, or `level` for any level one
    stem_in: Fraction | None = None  # from the middle of the valve to the end of its stem or operator, inches
    wheel_in: Fraction | None = None  # across the handwheel at the end of the stem, inches
    above_floor_in: Fraction | None = None
    holes_in: Fraction | None = None  # in the screen of a strainer


NOTHING_SAID = Fitted()


@dataclass(slots=True, eq=False)
class Component:
    """A thing with ports: an item of the file, or a fitting or pipe that a pass put in.

    `origin` holds the spans it comes from and `why` the sentence that `coilwright why` prints. `tag` may hold a `*`
    for the unit's number. `ends` maps a port (`in`, `out`, `branch`, `bypass`, `supply`, `return`, `tap…`) to its end;
    a port without an end is still to be settled by `join`.
    """

    id: str
    kind: Kind
    size: Size
    line: str
    service: str
    origin: Origin
    tag: str = ""
    why: str = ""
    ends: dict[str, End] = field(default_factory=dict)
    closed: bool = False  # normally shut
    position_said: bool = False  # the file says how it normally stands
    role: str = ""  # what it is a part of: `drain`, `vent`, or the name of another assembly; empty in a line itself
    made_of: str = ""  # metal and class as printed in the bill
    remarks: tuple[str, ...] = ()
    hand: str = ""
    branch_size: Size | None = None
    ask: Ask | None = None  # ends the file asks for, until `join` settles them
    heading: str = ""  # the direction of the line where it stands
    fitted: Fitted = NOTHING_SAID
    pipe: Pipe | None = None
    weight_lb: float | None = None  # as the file says it, dry
    between: bool = False  # put in to join its neighbours: no mark that a length is measured to
    length: Fraction | None = None  # of a nipple, end to end, inches; None: not measured
    called: str = ""  # the tag, else what people on site call it: `drain of ST-*01`

    @property
    def label(self) -> str:
        """How findings call it: the tag, or kind and size."""
        return self.tag or f"{self.kind.name} {self.size}"


@dataclass(frozen=True, slots=True)
class Ask:
    """What an item says of its own ends: `flanged`, class 300, steel, flat face. Empty where it is silent."""

    word: str = ""
    rating: str = ""
    metal: str = ""
    facing: str = ""
    seat: str = ""


NOTHING_ASKED = Ask()


@dataclass(frozen=True, slots=True)
class Pipe:
    """A piece of pipe between two things. `length` is centre to centre, as the file gives it.

    `moves` are those of its straight, in order, marks and penetrations among them. `along` is the size that the line
    has where a piece stands that the file does not mention; the piece may have another, between what is reduced.
    """

    length: Fraction | Unknown = NOT_MEASURED
    rise: int = 0
    heading: str = ""
    about: bool = False
    field_fit: bool = False
    through: tuple[str, ...] = ()
    marks: tuple[str, ...] = ()
    pitch: Fraction | None = None
    holes: tuple[Fraction | None, ...] = ()  # inside diameter of each hole of `through`, inches; None: not said
    moves: tuple[Move, ...] = ()
    along: Size | None = None


@dataclass(slots=True, eq=False)
class Link:
    """Two neighbouring ports before `join`: what the file puts between them."""

    a: str
    port_a: str
    b: str
    port_b: str
    line: str
    size: Size
    moves: tuple[Move, ...]
    heading: str = ""  # the direction in which the line runs here; empty: not said
    span: Span | None = None


class Joint(NamedTuple):
    """Two ends made up together. `kind`: butt weld, slip-on weld, threaded, soldered, grooved, bolted, same piece …

    `breaks`: it can be opened without cutting and with both neighbours staying where they are. `kit`: an insulating
    flange kit goes in.
    """

    kind: str
    port_a: str
    port_b: str
    end_a: End
    end_b: End
    line: str
    origin: Origin
    breaks: bool = False
    kit: bool = False
    order: int = 0  # place in the order in which the joints were made up, which follows the flow line by line


@dataclass(slots=True)
class LineInfo:
    """One line of the hookup."""

    id: str  # `supply to TRIM`
    word: str  # supply, return, crossover …
    size: Size
    service: str
    spec: Spec
    span: Span
    coil: str = ""  # of a supply or return line
    remarks: tuple[str, ...] = ()  # `outdoors`, `occupied area`
    start: Place | None = None  # where its main offers the connection that it starts from
    end: Place | None = None
    points: tuple[Span | None, ...] = (None, None)  # where the file says what it starts from, and what it runs to


@dataclass(frozen=True, slots=True)
class UnitRef:
    """One real unit: its tag, the number that takes the place of `*`, and whether its line says an airflow."""

    tag: str
    number: str
    span: Span
    says_airflow: bool = True


@dataclass(frozen=True, slots=True)
class CoilFacts:
    """What the file says of a coil. None or empty where it does not say."""

    tag: str
    service: str
    header_metal: str
    volume_gal: float | None
    ports: dict[str, CoilPort]
    span: Span
    flow_gpm: float | None = None
    rows: int | None = None
    entering_air_f: float | None = None  # the coldest air that can meet it
    tube_velocity_fps: float | None = None
    tubes_in: float | None = None  # outside diameter
    tube_wall_in: float | None = None
    circuits: int | None = None  # ways through the tubes side by side
    condensate: Condensate | None = None
    wants_flexible: bool = False
    pull_space: Room | None = None
    ordered_hand: str = ""  # `left` or `right`, as on the coil's order; empty if not said
    ordered_span: Span | None = None
    rated_psi: float | None = None  # what its maker says that it bears


@dataclass(frozen=True, slots=True)
class CoilPort:
    """`supply low at leaving side, 2-1/2 flanged`."""

    name: str  # supply, return
    level: str  # low, high; empty if not said
    air_side: str  # entering, leaving; empty if not said
    span: Span
    place: Place | None = None  # of its face


@dataclass(frozen=True, slots=True)
class Lineup:
    """A way of running. Valves by tag, with the word's place; `expect` maps a coil to the service it should carry."""

    name: str
    open: tuple[tuple[str, Span], ...]
    closed: tuple[tuple[str, Span], ...]
    expect: tuple[tuple[str, str, Span], ...]
    span: Span


@dataclass(slots=True, eq=False)
class Hookup:
    """One distinct hookup (a typical in one hand with one set of changes) and all the units that are built so.

    `links` is what `join` has still to make up; after it they are `straights`, and the graph's edges carry a `joint`
    each.
    """

    name: str
    drawn: str  # airflow as drawn: `left to right`, `right to left`; empty if not said
    airflow: str  # airflow of these units
    units: tuple[UnitRef, ...]
    graph: Graph
    services: dict[str, Service]
    span: Span
    links: list[Link] = field(default_factory=list)
    straights: list[Link] = field(default_factory=list)  # the links that are made up, one for each straight stretch
    moves: list[tuple[str, Move]] = field(default_factory=list)  # every move with a direction, by line, as built
    lines: dict[str, LineInfo] = field(default_factory=dict)
    coils: dict[str, CoilFacts] = field(default_factory=dict)
    lineups: tuple[Lineup, ...] = ()
    #: Lengths of components that the files declare, by kind, form of ends (empty: any) and size, inches.
    lengths: Mapping[tuple[str, str, Size], Fraction] = field(default_factory=dict)
    cabinet: Room | None = None
    measured: Measured | None = None  # None where the file gives no lengths
    _components: dict[str, Component] = field(default_factory=dict)
    _joints: list[tuple[str, str, Joint]] | None = None  # read off the graph when first asked for after a change

    def add(self, component: Component) -> None:
        """Put a component into the graph."""
        self.graph.add_node(component.id, component=component)
        self._components[component.id] = component

    def make_up(self, u: str, v: str, joint: Joint) -> None:
        """Put a joint between two components, `u` upstream."""
        self.graph.add_edge(u, v, joint=joint)
        self._joints = None

    def part(self, u: str, v: str, joint: Joint) -> None:
        """Take a joint out again."""
        key = next(key for key, data in self.graph[u][v].items() if data["joint"] is joint)
        self.graph.remove_edge(u, v, key)
        self._joints = None

    def take_out(self, id: str) -> None:
        """Take a component out with its joints."""
        self.graph.remove_node(id)
        del self._components[id]
        self._joints = None

    def component(self, id: str) -> Component:
        """The component of a node."""
        return self._components[id]

    def components(self) -> list[Component]:
        """All components, in the order they were made."""
        return list(self._components.values())

    def joints(self) -> list[tuple[str, str, Joint]]:
        """All joints as (upstream id, downstream id, joint). The list is shared: read it only."""
        if self._joints is None:
            self._joints = [(u, v, data["joint"]) for u, v, data in self.graph.edges(data=True)]
        return self._joints

    @property
    def mirrored(self) -> bool:
        """Whether these units are built to the other hand than drawn."""
        return bool(self.drawn and self.airflow and self.drawn != self.airflow)


def with_number(tag: str, number: str) -> str:
    """A tag pattern for one unit: `BV-*01` and `2` give `BV-201`."""
    return tag.replace("*", number)
