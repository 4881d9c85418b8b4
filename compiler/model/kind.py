"""Component kinds: what the catalogue and the user's own `kind` blocks say about a valve, instrument or fitting."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass, replace

from .size import Size
from .span import Origin

#: What a kind can do. The rules ask for these words, never for names of kinds.
ABILITIES = (
    "isolates",  # a hand valve that seals
    "swings",  # has a disc that swings out of its body as it opens
    "throttles",  # a valve that can be set but is no shutoff
    "controls",  # moved by an actuator; no shutoff
    "checks",  # lets flow pass one way only
    "balances",  # sets or limits the flow
    "measures",
    "reads pressure",
    "reads temperature",
    "strains",
    "relieves",
    "drains",  # an end through which water can be let out
    "vents",  # an end through which air can be let out
    "vents by itself",  # an automatic air vent
    "admits air",  # a vacuum breaker
    "pumps",
    "flexes",
    "breaks",  # opens without cutting: a union or the like
    "separates metals",  # dielectric
    "blinds",  # taken out or swung shut it lets nothing past: a spool piece, a spectacle blind; no hand valve
    "closes",  # a plug, cap or blind: nothing passes
    "takes up expansion",  # an expansion tank
    "self-sealing",  # a test port: opened only by its probe
)


@dataclass(frozen=True, slots=True)
class EndChoice:
    """One way a kind is bought: ends over a size range. The first choice that covers a size is the default."""

    word: str  # as said in a file: `threaded`, `flanged`, `lug`, `solder` …
    form: str
    low: Size
    high: Size
    metal: str
    rating: str = ""
    facing: str = ""
    length: str = ""  # key of its face-to-face table, where that depends on the ends


@dataclass(frozen=True, slots=True)
class Kind:
    """A component kind.

    `ports` is `inline` (in, out), `end` (one port), `tee` (in, out, branch), `three-way` (in, out, bypass),
    `coil` (supply, return) or `main`. `length` is the key of its face-to-face table, empty if none is known.
    """

    name: str
    synonyms: tuple[str, ...]
    group: str  # the heading of the bill it belongs under: valves, instruments, specialties, fittings …
    ports: str
    abilities: frozenset[str]
    choices: tuple[EndChoice, ...]
    handed: bool = False
    seat: str = ""  # `resilient`: the seat is the gasket
    length: str = ""
    standard: str = ""
    origin: Origin = ()

    def can(self, ability: str) -> bool:
        """Whether the kind has an ability of `ABILITIES`."""
        return ability in self.abilities

    def can_any(self, abilities: Set[str]) -> bool:
        """Whether the kind has one or more of some abilities."""
        return not self.abilities.isdisjoint(abilities)

    def choice(self, size: Size, word: str = "") -> EndChoice | None:
        """The default ends at `size`, or those called `word`; None if the kind is not made so."""
        for choice in self.choices:
            if choice.low <= size <= choice.high and (not word or choice.word == word):
                return choice
        return None


def as_it_stands(kind: Kind, *, shut: bool) -> Kind:
    """The kind with what it can do as it normally stands: a blind that is swung shut parts the line, an open one is
    pipe, since nobody shuts it with the line full."""
    return replace(kind, abilities=kind.abilities | {"isolates"}) if shut and kind.can("blinds") else kind
