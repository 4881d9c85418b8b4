"""Which side of an eccentric reducer is kept level."""

from __future__ import annotations

from ..model.hookup import Component, Hookup

_SIDES = ("flat on top", "flat on bottom")


def say_level_side(hookup: Hookup, component: Component) -> None:
    """Add to an eccentric reducer in a run that is not vertical which side of it is level, where the file does not.

    On water and glycol its top, so that no air stays in the step, pump suctions with it; on steam its bottom, so that
    no water does; nothing where the file does not say the fluid. UFGS 15501; State of Delaware project manual 23 21 13,
    part 3.
    """
    if "eccentric" not in component.kind.name or component.heading in ("up", "down"):
        return
    if any(side in component.remarks for side in _SIDES):
        return
    service = hookup.services.get(component.service)
    if service is not None and service.fluid:
        component.remarks = (*component.remarks, _SIDES[service.fluid == "steam"])
