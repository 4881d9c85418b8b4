"""Where in a file the lines of a mend go."""

from __future__ import annotations

from ..catalogue.limits import limit
from ..model.hookup import Component, Hookup
from ..model.mend import Edit, Mend, Where, write
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
    """The asked-for items between a coil and the first tee that leads to other than its own lines, in flow order."""
    found: list[Component] = []
    for component in way[::-1] if leg == "supply" else way:
        if component.line != line_name(coil, leg) or _others(hookup, coil, component):
            break
        if is_asked(component):
            found.append(component)
    return found[::-1] if leg == "supply" else found


def _others(hookup: Hookup, coil: str, tee: Component) -> set[str]:
    """The lines at a tee that lead to other than a coil's own lines: no bypass of its own."""
    own = {line_name(coil, "supply"), line_name(coil, "return")}
    return {line for line in side_lines(hookup, tee) if not _joined_by(hookup, line) <= own}


def _joined_by(hookup: Hookup, line: str) -> set[str]:
    """The lines of what a line starts from and ends at."""
    joints = [(u, v) for u, v, joint in hookup.joints() if joint.line == line]
    return {hookup.component(id).line for pair in joints for id in pair} - {line}


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
    """A second valve behind one, normally shut, with a drain and a vent between them as the bleed.

    It has the tag of the first with a letter behind it, and lineups that set the first set it too.
    """
    asked = valve.ask.word if valve.ask is not None else ""
    tags = {c.tag for c in hookup.components()}
    tag = next((t for letter in "ABCDEFGH" if valve.tag and (t := valve.tag + letter) not in tags), "")
    second = ", ".join(word for word in (f"{valve.kind.name} {tag}".rstrip(), asked, "normally closed") if word)
    made = below(hookup, valve, "drain 3/4", "vent 1/2", second)
    for lineup in hookup.lineups if tag else ():
        for verb, named in (("open", lineup.open), ("closed", lineup.closed)):
            at = next((span for name, span in named if name == valve.tag), None)
            if at is not None:
                line = [name for name, span in named if span.line == at.line]
                line.insert(line.index(valve.tag) + 1, tag)
                made += write(at, f"{verb} {', '.join(line)}")
    return made
