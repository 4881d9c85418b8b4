"""weigh: what the files' `weights` blocks say of components that do not say their own weight."""

from __future__ import annotations

from ..catalogue.said import said_of
from ..model.hookup import Hookup
from .run import Run


def weigh(hookup: Hookup, run: Run) -> Hookup:
    """Give components the weight that their maker's block has for their kind, ends and size.

    Needs: ends. Adds: `weight_lb`, where the item does not say it.
    """
    said = run.declared.weights
    if not said:
        return hookup
    for component in hookup.components():
        if component.weight_lb is not None:
            continue
        component.weight_lb = said_of(component, said)
    return hookup
