"""Pieces of pipe: which components are one piece, and how long it is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from ..analysis.pipe_lengths import centre_to_centre
from ..model.hookup import Component, Hookup
from ..model.table import NOT_MEASURED, Unknown

_CUT = ("pipe", "tube")


@dataclass(slots=True)
class PipePiece:
    """One piece: runs and outlets that no joint parts. Lengths are in inches.

    `cut` is end to end, where the file is measured; the others are centre to centre, less the pups and nipples in them.
    """

    components: list[Component] = field(default_factory=list)
    measured: Fraction = Fraction(0)
    allowed: Fraction = Fraction(0)  # `about` lengths
    unmeasured: bool = False
    field_fit: bool = False
    cut: Fraction | Unknown = NOT_MEASURED


def pipe_pieces(hookup: Hookup) -> Iterator[PipePiece]:
    """Every piece of pipe of a hookup, in the order of its first component.

    A piece with no run of its own in the file (an outlet between two flanges) has a length that is not measured.
    """
    beside: dict[str, list[str]] = {}
    for u, v, joint in hookup.joints():
        if joint.kind == "same piece":
            beside.setdefault(u, []).append(v)
            beside.setdefault(v, []).append(u)
    seen: set[str] = set()
    for component in hookup.components():
        if component.id in seen or not is_cut_pipe(component):
            continue
        piece = PipePiece()
        stack = [component.id]
        seen.add(component.id)
        while stack:
            one = hookup.component(stack.pop())
            piece.components.append(one)
            for other in beside.get(one.id, ()):
                if other not in seen:
                    seen.add(other)
                    stack.append(other)
        runs = [(c, c.pipe) for c in piece.components if c.pipe is not None]
        for one, run in runs:
            piece.field_fit |= run.field_fit
            length = centre_to_centre(hookup, one, run)
            if not isinstance(length, Fraction):
                piece.unmeasured = True
            elif run.about:
                piece.allowed += length
            else:
                piece.measured += length
        piece.unmeasured |= not runs
        if hookup.measured is not None:
            piece.cut = _sum(hookup.measured.cuts[c.id] for c in piece.components if c.id in hookup.measured.cuts)
        yield piece


def _sum(lengths: Iterable[Fraction | Unknown]) -> Fraction | Unknown:
    """Lengths added up; nothing, or one that is not known, makes the sum unknown."""
    total: Fraction | Unknown = NOT_MEASURED
    for length in lengths:
        if not isinstance(length, Fraction):
            return length
        total = length + (total if isinstance(total, Fraction) else 0)
    return total


def is_cut_pipe(component: Component) -> bool:
    """Whether a component is pipe cut from a length: a run, a piece between fittings, or the pipe under an outlet."""
    if component.pipe is not None:
        return True
    return component.kind.ports == "tee" and component.ends.get("in") is not None and component.ends["in"].form in _CUT
