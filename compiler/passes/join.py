"""join: every pair of neighbouring ends made to fit by the spec's fittings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from ..catalogue.pieces import FITTING_FORM, PIPE_FORM, Piece, pipe_text
from ..model.declared import SpecRow
from ..model.ends import End
from ..model.hookup import NOT_MADE_UP, UNSETTLED, Component, Hookup, Joint, LineInfo, Link, Move, Pipe
from ..model.kind import Kind
from ..model.span import Origin
from ..model.table import NOT_MEASURED, Unknown
from .level_side import say_level_side
from .mate import Mate
from .run import Run
from .search import Searcher, Way, needs_opening
from .settle import settle

#: Ends that are bolted together, and come apart again.
_BOLTED = ("flange", "lug", "wafer")


def join(hookup: Hookup, run: Run) -> Hookup:
    """Make up every link: fittings, flanges and pipe become components, and edges with joints stand between them.

    Needs: components and straight links. Adds: ends, fittings, pipe, joints; the links become straights.
    Ends that nothing in the spec brings together get a joint `not made up`.
    """
    settle(hookup, run)
    joiner = _Joiner(hookup, run)
    for link in hookup.links:
        joiner.make_up(link)
    hookup.straights, hookup.links = hookup.links, []
    return hookup


@dataclass(slots=True)
class _Added:
    """What the pieces that are put into one link have in common."""

    hookup: Hookup
    link: Link
    line: LineInfo
    origin: Origin
    _why: str = ""

    @property
    def why(self) -> str:
        """Why they are there; worked out if there are any."""
        if not self._why:
            link = self.link
            a, b = self.hookup.component(link.a), self.hookup.component(link.b)
            ends = f"{a.label} ({a.ends[link.port_a]}) to {b.label} ({b.ends[link.port_b]})"
            self._why = f"joins {ends}: the least way of spec `{self.line.spec.name}`"
        return self._why


class _Joiner:
    """The state of joining one hookup."""

    def __init__(self, hookup: Hookup, run: Run) -> None:
        self.hookup = hookup
        self.searchers = run.known.searchers
        self.made = 0

    def make_up(self, link: Link) -> None:
        """Put pieces and joints between the two ends of one link."""
        a, b = self.hookup.component(link.a), self.hookup.component(link.b)
        line = self.hookup.lines.get(link.line)
        if line is None:  # a coil's own tap: its plug screws straight in
            self._edge(a, link.port_a, b, link.port_b, Mate("threaded", False, False, 0), link, a.origin)
            return
        spec, row = line.spec, line.spec.row(link.size)
        end_a, end_b = self._end(a, link.port_a, link, row), self._end(b, link.port_b, link, row)
        if UNSETTLED in (end_a.form, end_b.form):
            self._leave_open(link, a, b)
            return
        searcher = self.searchers.get(id(spec))
        if searcher is None:
            searcher = self.searchers[id(spec)] = Searcher(spec)
        level = link.heading not in ("up", "down")
        loose_a = spec.loose_at_coils and a.kind.ports == "coil" and needs_opening(end_a)
        loose_b = spec.loose_at_coils and b.kind.ports == "coil" and needs_opening(end_b)
        if link.moves:
            near = searcher.to_pipe(end_a, link.size, level, loose_a)
            far = searcher.to_pipe(end_b, link.size, level, loose_b)
            if near is None or far is None:
                self._leave_open(link, a, b)
                return
            self._lay_run(link, near, far)
            return
        straight = end_a.form in _BOLTED and end_b.form in _BOLTED
        way = searcher.between(end_a, end_b, level, (loose_a or loose_b) and not straight)
        if way is None:
            self._leave_open(link, a, b)
            return
        self._chain(self._added(link), a, link.port_a, way, b, link.port_b)

    def _end(self, component: Component, port: str, link: Link, row: SpecRow | None) -> End:
        if component.kind.ports != "main" or row is None:
            return component.ends.setdefault(port, End(UNSETTLED, link.size, ""))
        # What the main offers is not in the file: it is taken to be ready for the line's own way of joining.
        end = End(FITTING_FORM[row.joined], link.size, row.fitting_metal)
        component.ends[port] = end
        return end

    # -- building -----------------------------------------------------------------------------------------------

    def _added(self, link: Link) -> _Added:
        """What all pieces of a link have in common."""
        line = self.hookup.lines[link.line]
        return _Added(self.hookup, link, line, self._origin(link))

    def _origin(self, link: Link) -> Origin:
        spec = self.hookup.lines[link.line].spec
        row = spec.row(link.size)
        own = (link.span,) if link.span is not None else ()
        return (*own, *(row.origin if row is not None else spec.origin))

    def _put(
        self, added: _Added, kind: Kind, number: str, near: End, far: End, made_of: str, pipe: Pipe | None
    ) -> Component:
        link = added.link
        small, large = (near.size, far.size) if near.size <= far.size else (far.size, near.size)
        made = Component(
            id=f"{link.a} {link.port_a} > {number}",
            kind=kind,
            size=large,
            line=link.line,
            service=added.line.service,
            origin=added.origin,
            why=added.why,
            ends={"in": near, "out": far},
            made_of=made_of,
            branch_size=small,
            heading=link.heading,
            pipe=pipe,
            between=True,
        )
        say_level_side(self.hookup, made)
        self.hookup.add(made)
        return made

    def _edge(
        self, u: Component, port_u: str, v: Component, port_v: str, how: Mate, link: Link, origin: Origin
    ) -> None:
        self.made += 1
        end_u, end_v = u.ends[port_u], v.ends[port_v]
        joint = Joint(how.kind, port_u, port_v, end_u, end_v, link.line, origin, how.breaks, how.kit, self.made)
        self.hookup.make_up(u.id, v.id, joint)

    def _chain(
        self, added: _Added, at: Component, port: str, way: Way, to: Component, to_port: str, mark: str = ""
    ) -> None:
        """Lay the pieces of a way from one port to another, in flow order."""
        link = added.link
        for number, (piece, how) in enumerate(zip(way.pieces, way.mates, strict=False), 1):
            stub = _stub(link) if piece.is_pipe else None
            made = self._put(added, piece.kind, f"{mark}{number}", piece.near, piece.far, piece.made_of, stub)
            self._edge(at, port, made, "in", how, link, added.origin)
            at, port = made, "out"
        self._edge(at, port, to, to_port, way.mates[-1], link, added.origin)

    def _lay_run(self, link: Link, near: Way, far: Way) -> None:
        """A run of pipe between the way up to it and the way on from it (which was searched from the far end)."""
        added = self._added(link)
        row = added.line.spec.row(link.size)
        assert row is not None
        kind = Searcher.pipe_kind("tube" if PIPE_FORM[row.joined] == "tube" else "pipe")
        run = self._put(added, kind, "run", near.end, far.end, pipe_text(row), run_of(link.moves, link.heading))
        run.origin = (*(m.span for m in link.moves), *added.origin)
        run.why = "the way that the file gives"
        back = tuple(_turned(piece) for piece in reversed(far.pieces))
        on = Way(back, tuple(reversed(far.mates)), far.end, far.cost)
        a, b = self.hookup.component(link.a), self.hookup.component(link.b)
        self._chain(added, a, link.port_a, near, run, "in", "a")
        self._chain(added, run, "out", on, b, link.port_b, "b")

    def _leave_open(self, link: Link, a: Component, b: Component) -> None:
        """Keep the graph in one piece where nothing fits; the rules say what is wrong."""
        self._edge(a, link.port_a, b, link.port_b, Mate(NOT_MADE_UP, False, False, 0), link, self._origin(link))


def _stub(link: Link) -> Pipe:
    """Pipe that the file does not mention: two fittings need a piece between them, of a length nobody measured."""
    rise = {"up": 1, "down": -1}.get(link.heading, 0)
    return Pipe(NOT_MEASURED, rise, link.heading, along=link.size)


def run_of(moves: Sequence[Move], heading: str) -> Pipe:
    """The pipe of a straight link: the lengths of its moves added up, if every move with a direction has one."""
    length: Fraction | Unknown = NOT_MEASURED
    given = [
        (m.length if m.length is not None else (m.legs[0].length if m.legs else None))
        for m in moves
        if not m.through and not m.mark
    ]
    if given and all(g is not None for g in given):
        length = sum((g for g in given if g is not None), Fraction(0))
    return Pipe(
        length=length,
        rise=max(-1, min(1, sum(m.rise for m in moves))),
        heading=heading,
        about=any(m.about for m in moves),
        field_fit=any(m.field_fit for m in moves),
        through=tuple(m.through for m in moves if m.through),
        holes=tuple(m.hole_in for m in moves if m.through),
        marks=tuple(m.mark for m in moves if m.mark),
        pitch=next((m.pitch for m in moves if m.pitch is not None), None),
        moves=tuple(moves),
    )


def _turned(piece: Piece) -> Piece:
    return piece._replace(near=piece.far, far=piece.near)
