"""What a file declares besides its hookups: services, piping specs, coils' facts, takeoff settings."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from .quantity import Dimension
from .size import Size
from .span import Origin, Span
from .welding import Welding


@dataclass(frozen=True, slots=True)
class Tracing:
    """What a file says of the heat trace of a service: the temperature held, the extra length at each valve, pair of
    flanges and support, inches. None where it does not say."""

    held_f: float | None = None
    valve_in: Fraction | None = None
    flange_in: Fraction | None = None
    support_in: Fraction | None = None


NOTHING_TRACED = Tracing()


@dataclass(frozen=True, slots=True)
class Service:
    """A fluid and the conditions it is piped for. None where the file does not say."""

    name: str
    fluid: str  # `water`, `propylene glycol`, `ethylene glycol`, …
    share: float | None  # 0..1 of glycol
    basis: str  # `volume` or `mass`, empty if not said
    pressure_psi: float | None
    low_f: float | None
    high_f: float | None
    spec: str
    insulation_in: Fraction | None
    heat_traced: bool
    coldest_f: float | None
    origin: Origin
    potable: bool = False
    variable_flow: bool | None = None  # None: not said
    hours: float | None = None  # of running a year
    loop: str = ""  # `closed`, `open`; empty: not said
    only_burst: bool = False  # its strength is chosen to keep tubes from bursting, not to be pumped
    make_up: str = ""  # how lost liquid is made up: `automatic`, `hand`; empty: not said
    pressure_alarm: bool = False  # somebody is told when its pressure is low
    fit_gaskets: bool = False  # gaskets and tape are ordered for this fluid
    insulation_lb_ft3: float | None = None  # density of the insulation
    insulation_k: float | None = None  # its conductivity, Btu in/(h ft2 F)
    tracing: Tracing = NOTHING_TRACED
    places: Mapping[str, Span] = field(default_factory=dict, compare=False)  # of its lines, by their first words

    @property
    def mixture(self) -> tuple[str, float | None, str]:
        """What makes two services the same liquid: fluid, share and its basis."""
        return (self.fluid, self.share, self.basis)


@dataclass(frozen=True, slots=True)
class SpecRow:
    """How pipe is bought and joined over a range of sizes."""

    low: Size
    high: Size
    joined: str  # welded, threaded, soldered, grooved
    metal: str
    wall: str  # schedule (`40`) or copper type (`L`)
    fittings: str  # material and class of the fittings, as printed in the bill: `malleable iron class 150`
    fitting_metal: str
    flange: str  # slip-on, weld neck, threaded, solder, grooved adapter; empty: none in this range
    rating: str
    facing: str
    origin: Origin
    pipe_grade: str = ""  # as written: `A53 B`; empty: not said
    flange_grade: str = ""


@dataclass(frozen=True, slots=True)
class Spec:
    """A piping specification."""

    name: str
    rows: tuple[SpecRow, ...]
    gasket: str  # material as printed
    gasket_in: Fraction
    gasket_shape: str  # `ring`
    bolts: str  # `studs` or `machine bolts`
    bolt_grade: str  # as written: `A193 B7`; empty: not said
    nut_grade: str
    weld_gap: Fraction
    groove_gap: Fraction | None  # between two grooved ends in a coupling, inches
    pups: Fraction | None  # length of pipe between two fittings that the file has no length for; None: the usual
    nipples: Fraction | None  # the same of nipples; None: short ones
    welding: Welding
    solder: str  # alloy as written: `95-5`; empty: not said
    sealant: str  # of threads, as written; empty: not said
    branch_same: str
    branch_half: str  # down to half of the header's size
    branch_small: str
    dissimilar_small: str  # how copper and steel are kept apart to NPS 2: `union`, `flange kit`, `brass`
    dissimilar_large: str  # the same above NPS 2
    loose_at_coils: bool  # every coil connection gets a joint that can be opened
    made_in: str  # `shop`, `field`; empty: not said
    origin: Origin
    _rows: dict[Size, SpecRow | None] = field(default_factory=dict, init=False, compare=False, repr=False)

    def row(self, size: Size) -> SpecRow | None:
        """The row that covers `size`: the first of those that do."""
        if size not in self._rows:
            self._rows[size] = next((row for row in self.rows if row.low <= size <= row.high), None)
        return self._rows[size]


@dataclass(frozen=True, slots=True)
class Acceptance:
    """One finding accepted at one place: the rule, a tag it is about, the reason, by whom, until when (empty: open)."""

    rule: str
    at: str
    reason: str
    by: str
    until: str
    span: Span


@dataclass(slots=True)
class RuleSettings:
    """What a file says of rules: severities of its own, findings it accepts, packs of a shop's own rules."""

    severities: dict[str, tuple[str, Span]] = field(default_factory=dict)
    accepted: list[Acceptance] = field(default_factory=list)
    packs: list[tuple[str, Span]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class SpoolLimits:
    """The largest spool that can be handled. None where the file does not say."""

    length_in: Fraction | None = None
    weight_lb: float | None = None
    door_in: tuple[Fraction, Fraction] | None = None  # the sides of the opening it goes through, the smaller first


@dataclass(frozen=True, slots=True)
class OnHand:
    """Lengths that the yard has. `size` None or `material` empty: not said; a metal alone is any wall of it."""

    count: int
    length: Fraction
    size: Size | None
    material: str  # `carbon steel schedule 40`
    origin: Origin


#: What can be bought by the pack, and what its contents are measured in; empty: counted.
PACKED: dict[str, Dimension | Literal[""]] = {
    "gaskets": "",
    "bolts": "",
    "studs": "",
    "machine bolts": "",
    "cap screws": "",
    "nuts": "",
    "couplings": "",
    "glycol": "volume",
    "solder": "mass",
    "flux": "mass",
    "filler": "mass",
}


@dataclass(frozen=True, slots=True)
class Pack:
    """`boxes of 50`, `drums of 55 gal`: the container, its contents as written, and as a count, gallons or lb."""

    container: str
    contents: str
    amount: float

    def __str__(self) -> str:
        return f"{self.container} of {self.contents}"

    def needed(self, amount: float) -> int:
        """How many of them hold `amount`."""
        return math.ceil(round(amount / self.amount, 6))


#: How glycol is bought where the file does not say: the steel drum of the trade. Common practice, no source.
USUAL_DRUM = Pack("drums", "55 gal", 55.0)
#: How much a field-fit piece is left over where the file does not say. Common practice, no source.
USUAL_OVER = Fraction(2)


@dataclass(slots=True)
class TakeoffSettings:
    """Waste, spares and stock lengths, as fractions and inches; each 0, empty or None until a file says otherwise."""

    stock: dict[str, tuple[Fraction, ...]] = field(default_factory=dict)  # of `pipe`, of `tube`
    kerf: Fraction | None = None
    on_hand: list[OnHand] = field(default_factory=list)
    waste: dict[str, float] = field(default_factory=dict)  # of `pipe`, of `tube` -> fraction
    spares: dict[str, float] = field(default_factory=dict)  # what (`gaskets`, `bolts`) -> fraction
    packs: dict[str, Pack] = field(default_factory=dict)  # what of `PACKED` -> how it is bought
    spools: SpoolLimits | None = None
    over: Fraction | None = None  # how much longer a field-fit piece is left than it should come out
    origin: dict[str, Origin] = field(default_factory=dict)

    def waste_of(self, what: str) -> float:
        """The waste of `pipe` or `tube`, a fraction. Tube wastes as pipe does where nothing is said of it."""
        return self.waste.get(what, self.waste.get("pipe", 0.0))

    @property
    def field_fit(self) -> Fraction:
        """How much a field-fit piece is left over, inches."""
        return USUAL_OVER if self.over is None else self.over
