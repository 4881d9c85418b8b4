"""loosen: a union in every threaded stretch that is fixed at both ends, since it could not be screwed together."""

from __future__ import annotations

from ..catalogue.pieces import piece_kinds, pipe_text
from ..model.ends import End
from ..model.hookup import Component, Hookup, Joint
from .run import Run

#: Joints that are made before the threaded stretches between them: their pieces stand fixed.
_FIXING = ("butt weld", "slip-on weld", "socket weld", "soldered")


def loosen(hookup: Hookup, run: Run) -> Hookup:
    """Put a union into each chain of threaded joints that closes a ring of fixed things.

    A chain runs between two junctions (things with three or more ports, mains, coils). Chains with a weld or solder
    joint are built first and hold their two ends fixed; a chain with a union or flanges can be closed at any time. A
    chain that is threaded throughout and whose two ends already hold together gets a union. Common practice, no source.
    Needs: joints. Adds: unions and the nipples behind them.
    """
    # A ring closes through lines, and a line can be threaded throughout only where its own size is.
    rows = [line.spec.row(line.size) for line in hookup.lines.values()]
    if not any(row is not None and row.joined == "threaded" for row in rows):
        return hookup
    fixed = _Together()
    for component in hookup.components():
        if component.kind.ports in ("main", "coil"):
            fixed.join("ground", component.id)
    chains = _chains(hookup)
    threaded: list[tuple[tuple[str, str], list[tuple[str, str, Joint]]]] = []
    for ends, joints in chains:
        kinds = {joint.kind for _, _, joint in joints}
        if any(_breaks(hookup, u) or _breaks(hookup, v) for u, v, _ in joints):
            continue  # a union closes it whenever its two ends stand
        if any(kind in _FIXING for kind in kinds):
            fixed.join(*ends)
        elif kinds == {"threaded"}:
            threaded.append((ends, joints))
    for ends, joints in threaded:
        if fixed.together(*ends):
            _put_union(hookup, joints)
        else:
            fixed.join(*ends)
    return hookup


class _Together:
    """Union-find: which things are already held fixed to one another."""

    def __init__(self) -> None:
        self._parent: dict[str, str] = {}

    def _root(self, a: str) -> str:
        while (parent := self._parent.get(a, a)) != a:
            self._parent[a] = self._parent.get(parent, parent)
            a = parent
        return a

    def join(self, a: str, b: str) -> None:
        self._parent[self._root(a)] = self._root(b)

    def together(self, a: str, b: str) -> bool:
        return self._root(a) == self._root(b)


def _breaks(hookup: Hookup, id: str) -> bool:
    return hookup.component(id).kind.can("breaks")


def _chains(hookup: Hookup) -> list[tuple[tuple[str, str], list[tuple[str, str, Joint]]]]:
    """Every chain of two-ported components with the junctions at its two ends, in the order of the joints."""
    graph = hookup.graph
    beside: dict[str, list[tuple[str, str, Joint]]] = {id: [] for id in graph}
    for edge in hookup.joints():
        beside[edge[0]].append(edge)
        beside[edge[1]].append(edge)
    junctions = {
        id for id, edges in beside.items() if len(edges) != 2 or hookup.component(id).kind.ports in ("main", "coil")
    }
    seen: set[int] = set()
    made = []
    for start in graph:
        if start not in junctions:
            continue
        for edge in beside[start]:
            if id(edge[2]) in seen:
                continue
            chain, at = [], start
            while True:
                seen.add(id(edge[2]))
                chain.append(edge)
                at = edge[1] if edge[0] == at else edge[0]
                if at in junctions:
                    break
                edge = next(e for e in beside[at] if id(e[2]) not in seen)
            made.append(((start, at), chain))
    return made


def _put_union(hookup: Hookup, joints: list[tuple[str, str, Joint]]) -> None:
    """Open the first joint of the chain that has pipe or a nipple on its male side, and put union and nipple there."""
    for u, v, joint in joints:
        male = u if joint.end_a.form == "male thread" else v
        if hookup.component(male).pipe is not None or "nipple" in hookup.component(male).kind.name:
            break
    else:
        u, v, joint = joints[0]
    hookup.part(u, v, joint)
    line = hookup.lines[joint.line]
    size = joint.end_a.size
    row = line.spec.row(size)
    assert row is not None
    female, nipple_end = End("female thread", size, row.fitting_metal), End("male thread", size, row.metal)
    forward = joint.end_a.form == "male thread"  # male, union, nipple, female; or the other way about

    def put(name: str, end: End, made_of: str) -> Component:
        made = Component(
            id=f"{u} {joint.port_a} > {name}",
            kind=piece_kinds()[name],
            size=size,
            line=joint.line,
            service=line.service,
            origin=joint.origin,
            ends={"in": end, "out": end},
            made_of=made_of,
            branch_size=size,
            between=True,
            why="both ends of this threaded stretch are fixed, so it could not be screwed together without a union",
        )
        hookup.add(made)
        return made

    union = put("union", female, row.fittings)
    nipple = put("nipple", nipple_end, pipe_text(row))
    order = [u, union.id, nipple.id, v] if forward else [u, nipple.id, union.id, v]
    ports = [(joint.port_a, "in"), ("out", "in"), ("out", joint.port_b)]
    for one, other, (port_a, port_b) in zip(order, order[1:], ports, strict=False):
        end_a, end_b = hookup.component(one).ends[port_a], hookup.component(other).ends[port_b]
        made = joint._replace(port_a=port_a, port_b=port_b, end_a=end_a, end_b=end_b)
        hookup.make_up(one, other, made)
