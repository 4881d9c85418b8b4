"""Where in a file the lines of a mend go."""

from __future__ import annotations

from ..catalogue.limits import limit
from ..model.hookup import Component, Hookup
from ..model.mend import Edit, Mend, Where
from ..model.size import Size
from ..model.span import Span

#: What lies on either side of nought along each line of space.
SIDES = (("right", "left"), ("toward", "away"), ("up", "down"))


def add(where: Where, at: Span, *lines: str) -> Mend:
    """Lines beside or under a line of the file."""
    return (Edit("add", at, lines, where),)


def above(item: Component, *lines: str) -> Mend:
    """Lines ahead of an item."""
    return add("above", item.origin[0], *lines)


def below(hookup: Hookup, item: Component, *lines: str) -> Mend:
    """Lines behind an item and what is indented under it."""
    return (Edit("add", item.origin[0], lines, "below", parent=has_block(hookup, item)),)


def move(hookup: Hookup, item: Component, where: Where, beside: Component) -> Mend:
    """An item's line, with what is indented under it, moved beside another item of the file."""
    parent = where == "below" and has_block(hookup, beside)
    return (Edit("move", item.origin[0], where=where, to=beside.origin[0], parent=parent),)


def at_coil(hookup: Hookup, coil: str, leg: str, *lines: str) -> Mend:
    """Lines right at a coil's connection, on its `supply` or `return`; nothing if the file has no such line."""
    line = hookup.lines.get(line_name(coil, leg))
    if line is None:
        return ()
    return add("last under" if leg == "supply" else "first under", line.span, *lines)


def line_name(coil: str, leg: str) -> str:
    """`supply to CC`, `return from CC`."""
    return f"supply to {coil}" if leg == "supply" else f"return from {coil}"


def is_asked(component: Component) -> bool:
    """Whether a line of the file asks for a component by itself: no pipe, nothing that a pass put in."""
    return bool(component.line) and component.pipe is None and not component.id.count(" > ") and not component.role


def has_block(hookup: Hookup, item: Component) -> bool:
    """Whether something is indented under the line of an item: what hangs on its side, further down in the file."""
    beside = [
        hookup.component(v)
        for _, v, data in hookup.graph.out_edges(item.id, data=True)
        if data["joint"].port_a in ("branch", "bypass")
    ]
    return any(c.line == item.line and c.origin[0].line > item.origin[0].line for c in beside)


def private_items(hookup: Hookup, coil: str, leg: str, way: list[Component]) -> list[Component]:
    """The asked-for items between a coil and the first tee that another line starts from, in flow order."""
    found: list[Component] = []
    for component in way[::-1] if leg == "supply" else way:
        if component.line != line_name(coil, leg) or side_lines(hookup, component):
            break
        if is_asked(component):
            found.append(component)
    return found[::-1] if leg == "supply" else found


def side_lines(hookup: Hookup, component: Component) -> set[str]:
    """The other lines that start or end at a tee; none of what is no tee."""
    if component.kind.ports != "tee":
        return set()
    beside = [*hookup.graph.successors(component.id), *hookup.graph.predecessors(component.id)]
    return {hookup.component(other).line for other in beside} - {component.line, ""}


def toward_main(hookup: Hookup, coil: str, leg: str, way: list[Component], *lines: str) -> Mend:
    """Lines on a coil's own part of a leg, as near to the main as it goes."""
    items = private_items(hookup, coil, leg, way)
    if not items:
        return at_coil(hookup, coil, leg, *lines)
    return above(items[0], *lines) if leg == "supply" else below(hookup, items[-1], *lines)


def inside(hookup: Hookup, leg: str, shutoff: Component, *lines: str) -> Mend:
    """Lines on the coil's side of the shutoff of a leg."""
    if not is_asked(shutoff):
        return ()
    return below(hookup, shutoff, *lines) if leg == "supply" else above(shutoff, *lines)


def outside(hookup: Hookup, leg: str, item: Component, shutoff: Component) -> Mend:
    """A shutoff moved to the main's side of an item on the same line."""
    if not (is_asked(shutoff) and is_asked(item) and item.line == shutoff.line):
        return ()
    return move(hookup, shutoff, "above" if leg == "supply" else "below", item)


def is_nested(outlet: Component, item: Component) -> bool:
    """Whether an item is written under the outlet that it hangs on, not on a line that makes its own outlet."""
    return outlet.origin[0].line != item.origin[0].line


def shutoff_for(size: Size) -> str:
    """The line of a hand shutoff for a size of pipe."""
    return "ball valve" if size.inches <= limit("threaded up to") else "butterfly valve, lug"


def doubled(hookup: Hookup, valve: Component) -> Mend:
    """A second valve behind one, normally shut, with a drain and a vent between them as the bleed."""
    asked = valve.ask.word if valve.ask is not None else ""
    second = ", ".join(word for word in (valve.kind.name, asked, "normally closed") if word)
    return below(hookup, valve, "drain 3/4", "vent 1/2", second)
