"""Where in the file a low or high point is, in words, and where a line for a drain or vent goes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from ..model.hookup import Component, Hookup
from ..model.span import Span

Which = Literal["low", "high"]
#: The headings at which the far side of an item lies nearer to the point looked for.
_ONWARD = {("low", "down"), ("high", "up")}


@dataclass(frozen=True, slots=True)
class Spot:
    """`words` behind a comma in a message, `label` under the words of `span`, `where` behind "add the line"."""

    words: str
    span: Span
    label: str
    where: str


def find_spot(pool: Sequence[tuple[Component, str]], which: Which, hookup: Hookup) -> Spot:
    """The best place of a pool, each given as a component and its port: an item of the file, tagged if any is, else
    the end of a vertical move, a shutoff, a coil connection, any move.

    A drain goes as near to the coil as the pool allows on a supply, a vent on a return: the last or the first of alike.
    """
    ordered = sorted(pool, key=lambda at: (at[0].origin[0].line, at[0].id), reverse=which == "low")
    items = [at for at in ordered if _is_item(at[0])]
    places = {(component.id, port) for component, port in pool}
    mains_size = [at for at in items if _is_full_size(at[0], hookup)]
    for some in ([at for at in mains_size if at[0].tag], mains_size, items):
        if some:
            component, port = some[0]
            if component.kind.can("controls") and not {(component.id, "in"), (component.id, "out")} <= places:
                return _at_valve(component, port)  # taken as shut: only one side of it belongs to the pool
            return _at_item(component, which, hookup)
    for component, port in ordered:
        if component.pipe is not None and component.pipe.rise and component.id.endswith("> run"):
            return _at_move(component, port)
    for component, port in ordered:
        if component.line and component.kind.can("isolates") and not component.role:
            return _at_valve(component, port)
    for component, port in ordered:
        if component.kind.ports == "coil":
            return _at_coil(component, port, hookup)
    return _at_move(ordered[0][0], "in")


def _is_item(component: Component) -> bool:
    """Something that a line of the file asks for on the run of its line, level from end to end."""
    if not component.line or component.role or component.pipe is not None or component.id.count(" > "):
        return False
    return component.kind.ports in ("inline", "tee", "three-way") and not (
        component.kind.can("isolates") or component.kind.can("checks")
    )


def _is_full_size(component: Component, hookup: Hookup) -> bool:
    return component.size >= hookup.lines[component.line].size


def _at_item(item: Component, which: Which, hookup: Hookup) -> Spot:
    span = item.origin[0]
    words = f"by `{item.tag}`" if item.tag else f"by the {item.kind.name} of line {span.line}"
    onward = (which, item.heading) in _ONWARD
    return Spot(words, span, "here", _behind(item, hookup) if onward else f"above line {span.line}")


def _behind(item: Component, hookup: Hookup) -> str:
    line = item.origin[0].line
    beside = [v for u, v, joint in hookup.joints() if u == item.id and joint.port_a in ("branch", "bypass")]
    has_block = any(hookup.component(v).origin[0].line > line for v in beside)
    return f"below line {line}" + (" and what is indented under it" if has_block else "")


def _at_move(pipe: Component, port: str) -> Spot:
    """Before the first move of a pipe, or behind its last."""
    first = last = pipe.origin[0]
    for span in pipe.origin[1:]:  # the moves in file order; behind them stands the line or item they follow
        if span.file != last.file or span.line <= last.line:
            break
        last = span
    if port == "out":
        return Spot(f"behind the move of line {last.line}", last, "behind this", f"below line {last.line}")
    return Spot(f"before the move of line {first.line}", first, "before this", f"above line {first.line}")


def _at_valve(valve: Component, port: str) -> Spot:
    span = valve.origin[0]
    side, where = ("behind", "below") if port == "out" else ("before", "above")
    return Spot(f"{side} `{valve.label}`", span, f"{side} this", f"{where} line {span.line}")


def _at_coil(coil: Component, port: str, hookup: Hookup) -> Spot:
    facts = hookup.coils[coil.id]
    span = facts.ports[port].span if port in facts.ports else facts.span
    words = f"the {port} connection of `{coil.label}`"
    place = {"supply": f"at the end of `supply to {coil.label}`", "return": f"on top of `return from {coil.label}`"}
    return Spot(words, span, "here", place.get(port, f"beside `{coil.label}`"))
