"""How long a piece of pipe is."""

from __future__ import annotations

from fractions import Fraction

from ..model.hookup import Component, Hookup, Pipe
from ..model.table import NOT_MEASURED, Unknown


def pipe_length(hookup: Hookup, component: Component) -> Fraction | Unknown:
    """A run, pup or nipple, inches: as cut where that is known, else centre to centre as the file gives it."""
    if hookup.measured is not None:
        cut = hookup.measured.cuts.get(component.id)
        if isinstance(cut, Fraction):
            return max(cut, Fraction(0))  # below it, there is no room for any
    if component.pipe is None:
        return component.length if component.length is not None else NOT_MEASURED
    return centre_to_centre(hookup, component, component.pipe)


def centre_to_centre(hookup: Hookup, component: Component, pipe: Pipe) -> Fraction | Unknown:
    """A run as the moves give it, inches, without the pups and nipples in its straight: they count for themselves."""
    rest = hookup.measured.rests.get(component.id) if hookup.measured is not None else None
    return pipe.length if rest is None else rest
