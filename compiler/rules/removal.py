"""Threaded valves, strainers and the like can be unscrewed: a union beside each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..analysis.places import below
from ..analysis.saying import called
from ..analysis.sections import Sections
from ..catalogue.limits import limit
from ..model.finding import Finding, Note
from ..model.hookup import NOT_MADE_UP, Component, Hookup
from ..model.mend import Mend
from .registry import Verdict, concerned, fault, rule

_ITEMS = frozenset(("isolates", "throttles", "controls", "checks", "balances", "strains", "pumps"))
_RUN = {"in": "out", "out": "in"}
_WELDS = ("butt weld", "slip-on weld", "socket weld")


@rule(
    "threaded-item-trapped",
    severity="should",
    asks="beside every threaded valve, strainer and control valve there is a union; two neighbours may share one",
    why="A threaded item comes out by turning it, and it cannot turn while pipe is screwed into both its ends: "
    "somebody takes the line down from the next union, or cuts it. A pipe that is welded in between them turns no more "
    "than the main does, and what opens behind it is no help.",
    mend="put a `union` beside it, in its own size where the line is larger: `union 2`",
    sources=(
        "UFGS 15183 (a union at each threaded valve)",
        "UFGS 15501, 15502 (at threaded control valves and strainers)",
        "State of Delaware project manual 23 21 13, part 3 (adjacent to valves)",
    ),
    agreement="4 sources read for; kits for fan-coil units have fewer",
)
def threaded_item_trapped(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A threaded item with no joint that opens between it and the next item on either side."""
    trapped = {c.id: c for c in hookup.components() if _is_threaded(sections, c) and not _opens(hookup, sections, c)}
    served: set[str] = set()
    for id, item in trapped.items():
        if id in served:
            continue
        after = _next(hookup, sections, item, "out")
        pair = after is not None and after.id in trapped and after.id not in served
        served.add(id)
        if after is not None and pair:
            served.add(after.id)
        names = f"`{item.label}` and `{after.label}`" if after is not None and pair else f"`{item.label}`"
        yield fault(
            f"no union beside {names}",
            item.origin[0],
            about=concerned(hookup, item, *([after] if after is not None and pair else [])),
            notes=(Note(f"`{called(after)}` is here", after.origin[0]),) if after is not None and pair else (),
            mend=_mend(hookup, item),
        )


def _is_threaded(sections: Sections, component: Component) -> bool:
    """An item in a line that is screwed in at both ends."""
    if component.role or not component.line or not component.kind.can_any(_ITEMS):
        return False
    if component.kind.can("isolates") and any(sections.of((component.id, port)).is_stub for port in _RUN):
        return False  # at the end of a branch: what hangs on it comes off first
    joints = [joint for port, _, _, joint in sections.neighbours[component.id] if port in _RUN]
    return len(joints) == 2 and all(joint.kind == "threaded" for joint in joints)


def _opens(hookup: Hookup, sections: Sections, item: Component) -> bool:
    """Whether a joint can be opened between an item and its neighbour on one side."""
    return any(opened for port in _RUN for _, opened in _walk(hookup, sections, item, port))


def _next(hookup: Hookup, sections: Sections, item: Component, port: str) -> Component | None:
    """The next item on one side."""
    way = [component for component, _ in _walk(hookup, sections, item, port)]
    return way[-1] if way and way[-1].kind.can_any(_ITEMS) else None


def _walk(hookup: Hookup, sections: Sections, item: Component, port: str) -> Iterator[tuple[Component, bool]]:
    """From an item through nipples, pipe and fittings to the next item, each with whether it opens the line.

    A tee that another line starts from holds the pipe fixed and ends the walk, as mains and coils do, and so does pipe
    that is welded to what is screwed into the item.
    """
    at = item.id
    seen = {at}
    welded = False
    while True:
        step = sections.beyond(at, port)
        if step is None or step[0] in seen:
            return
        at, back, joint = step
        seen.add(at)
        component = hookup.component(at)
        if joint.kind == NOT_MADE_UP:
            yield component, True  # what would stand here is not known; the rules on joints say so
            return
        welded = welded or joint.kind in _WELDS
        yield component, joint.breaks or component.kind.can("breaks")
        if welded and component.pipe is not None:
            return
        if component.kind.ports in ("main", "coil") or component.kind.can_any(_ITEMS):
            return
        others = [o for p, o, _, _ in sections.neighbours[at] if p not in _RUN]
        if back not in _RUN or any(hookup.component(other).line != component.line for other in others):
            return
        port = _RUN[back]


def _mend(hookup: Hookup, item: Component) -> Mend:
    if item.size.inches > limit("threaded up to") or item.id.count(" > "):
        return ()
    line = hookup.lines[item.line]
    return below(hookup, item, "union" if line.size == item.size else f"union {item.size.label}")
