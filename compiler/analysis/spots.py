"""Where in the file a low or high point is, in words, and where a line for a drain or vent goes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from ..model.hookup import Component, Hookup
from ..model.mend import Edit, Mend, Where
from ..model.span import Span
from .places import has_block, line_name

Which = Literal["low", "high"]
#: The headings at which the far side of an item lies nearer to the point looked for.
_ONWARD = {("low", "down"), ("high", "up")}


@dataclass(frozen=True, slots=True)
class Spot:
    """`words` behind a comma in a message, `label` under the words of `span`; a line for it goes `where` `at` is."""

    words: str
    span: Span
    label: str
    at: Span | None  # None: not on any line of the file
    where: Where
    parent: bool = False

    def add(self, line: str) -> Mend:
        """The line put there."""
        return (Edit("add", self.at, (line,), self.where, parent=self.parent),) if self.at is not None else ()


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
    if onward:
        return Spot(words, span, "here", span, "below", has_block(hookup, item))
    return Spot(words, span, "here", span, "above")


def _at_move(pipe: Component, port: str) -> Spot:
    """Before the first move of a pipe, or behind its last."""
    first = last = pipe.origin[0]
    for span in pipe.origin[1:]:  # the moves in file order; behind them stands the line or item they follow
        if span.file != last.file or span.line <= last.line:
            break
        last = span
    if port == "out":
        return Spot(f"behind the move of line {last.line}", last, "behind this", last, "below")
    return Spot(f"before the move of line {first.line}", first, "before this", first, "above")


def _at_valve(valve: Component, port: str) -> Spot:
    span = valve.origin[0]
    if port == "out":
        return Spot(f"behind `{valve.label}`", span, "behind this", span, "below")
    return Spot(f"before `{valve.label}`", span, "before this", span, "above")


def _at_coil(coil: Component, port: str, hookup: Hookup) -> Spot:
    facts = hookup.coils[coil.id]
    span = facts.ports[port].span if port in facts.ports else facts.span
    words = f"the {port} connection of `{coil.label}`"
    line = hookup.lines.get(line_name(coil.label, port))
    where: Where = "last under" if port == "supply" else "first under"
    return Spot(words, span, "here", line.span if line is not None else None, where)
