"""What a spec says of its welds: how ends are prepared, with what they are filled."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

#: The passes of a weld, from the inside out; fillet welds (slip-on flanges, sockets) have a filler of their own.
PASSES = ("root", "hot", "fill", "cap", "fillet")


@dataclass(frozen=True, slots=True)
class Filler:
    """Rod or wire. `layer`: how thick the pass is laid, inches; None: a rod's pass is as thick as the rod."""

    process: str  # a process of the table `deposition`
    name: str = ""  # its classification, `E7018`; empty: not said
    diameter: Fraction | None = None
    layer: Fraction | None = None

    def __str__(self) -> str:
        return f"{self.process} {self.name}".rstrip()


@dataclass(frozen=True, slots=True)
class Welding:
    """How the ends of pipe are prepared, and what fills the joint. Angles in degrees, lengths in inches.

    `bevel` and `root_face` are those of cut pipe; `reinforcement` is the height of the cap over the pipe. `passes`
    holds the fillers pass by pass, in the order of `PASSES`; `filler` is what goes where no pass is said.
    """

    bevel: Fraction
    root_face: Fraction
    reinforcement: Fraction
    filler: Filler
    passes: tuple[tuple[str, Filler], ...] = ()

    def pass_filler(self, name: str) -> Filler:
        """What fills a pass; the spec's one filler where nothing is said of it."""
        return dict(self.passes).get(name, self.filler)
