"""How long a piece of pipe is."""

from __future__ import annotations

from fractions import Fraction

from ..model.hookup import Component, Hookup
from ..model.table import NOT_MEASURED, Unknown


def pipe_length(hookup: Hookup, component: Component) -> Fraction | Unknown:
    """A run, pup or nipple, inches: as cut where that is known, else centre to centre as the file gives it."""
    if hookup.measured is not None:
        cut = hookup.measured.cuts.get(component.id)
        if isinstance(cut, Fraction):
            return cut
    if component.pipe is None:
        return component.length if component.length is not None else NOT_MEASURED
    return component.pipe.length
