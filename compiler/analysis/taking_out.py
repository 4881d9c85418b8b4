"""Whether an item comes out of its line as it stands, without a cut."""

from __future__ import annotations

from ..model.hookup import NOT_MADE_UP, Component, Hookup, Joint
from .sections import Sections

_RUN = {"in": "out", "out": "in"}


def comes_out(hookup: Hookup, sections: Sections, item: Component) -> bool:
    """Whether a joint opens beside each end of an item; one end may be threaded instead, as the item turns out of it.

    What is not made up is taken to open: the rules on joints speak of it.
    """
    sides = sections.neighbours[item.id]
    fixed = [joint for _, other, back, joint in sides if not _opens(hookup, sections, other, back, joint)]
    return not fixed or (len(fixed) == 1 and fixed[0].kind == "threaded")


def _opens(hookup: Hookup, sections: Sections, at: str, back: str, joint: Joint) -> bool:
    """Whether something opens before the next thing with a tag, a branch, or pipe that is welded in, which holds fast
    whatever opens behind it."""
    welded = False
    while True:
        component = hookup.component(at)
        if joint.breaks or joint.kind == NOT_MADE_UP or component.kind.can("breaks"):
            return True
        welded = welded or "weld" in joint.kind
        onward = [step for step in sections.neighbours[at] if step[0] != back]
        if component.tag or back not in _RUN or len(onward) != 1 or (welded and component.pipe is not None):
            return False
        _, at, back, joint = onward[0]
