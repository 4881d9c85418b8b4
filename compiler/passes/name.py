"""name: what people on site call a thing that has no tag, by the tagged thing upstream of it."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator

from ..model.hookup import Component, Hookup, Joint
from .run import Run

_ORDINALS = {1: "1st", 2: "2nd", 3: "3rd"}


def name(hookup: Hookup, run: Run) -> Hookup:
    """Call every component by its tag, or by what it is and where: `drain of ST-*01`, `2nd vent behind CC-*`.

    The parts of an assembly share its name. What stands on a branch that ends in a tagged thing is that thing's, each
    part by its own kind: `gauge cock of PI-*31`. Behind: downstream.

    Needs: the joints of all passes that put pieces in. Adds: `called`.
    """
    alike: dict[str, dict[object, list[Component]]] = {}
    serving = _serving(hookup)
    for component, where in _untagged(hookup):
        one = (component.role, component.origin[0]) if component.role else component.id
        words = f"{component.role or component.kind.name} {where}"
        if component.id in serving:
            words = f"{component.kind.name} of {serving[component.id].tag}"
        alike.setdefault(words, {}).setdefault(one, []).append(component)
    for words, things in alike.items():
        for number, parts in enumerate(things.values(), 1):
            for part in parts:
                part.called = words if len(things) == 1 else f"{_ORDINALS.get(number, f'{number}th')} {words}"
    return hookup


def _untagged(hookup: Hookup) -> Iterator[tuple[Component, str]]:
    """The components without tag, those nearest to a tagged one first, and where they are."""
    seen: set[str] = set()
    waiting: deque[tuple[Component, Component, bool]] = deque()
    for component in hookup.components():
        if component.tag:
            component.called = component.tag
            seen.add(component.id)
            waiting.append((component, component, False))
    behind: dict[str, dict[str, list[Joint]]] = {}
    for u, v, joint in hookup.joints():
        behind.setdefault(u, {}).setdefault(v, []).append(joint)
    while waiting:
        component, tagged, aside = waiting.popleft()
        for id, joints in behind.get(component.id, {}).items():
            if id in seen:
                continue
            seen.add(id)
            after = hookup.component(id)
            same_line = after.line == tagged.line
            if component is tagged:
                aside = same_line and any(joint.port_a not in ("in", "out") for joint in joints)
            line = "" if same_line or not tagged.line else f" on the {hookup.lines[after.line].word}"
            yield after, f"{'of' if aside else 'behind'} {tagged.tag}{line}"
            waiting.append((after, tagged, aside))
    for component in hookup.components():
        if component.id not in seen:
            yield component, f"on {component.line}"


def _serving(hookup: Hookup) -> dict[str, Component]:
    """The components on branches that end in a tagged one, with no other tag between, and that one."""
    before: dict[str, list[tuple[str, Joint]]] = {}
    for u, v, joint in hookup.joints():
        before.setdefault(v, []).append((u, joint))
    found: dict[str, Component] = {}
    for end in hookup.components():
        if not end.tag or end.kind.ports != "end":
            continue
        string: list[str] = []
        at = end.id
        while len(before.get(at, ())) == 1 and len(string) < len(before):
            [(id, joint)] = before[at]
            if joint.port_a not in ("in", "out"):
                found |= dict.fromkeys(string, end)
                break
            if hookup.component(id).tag:
                break
            string.append(id)
            at = id
    return found
