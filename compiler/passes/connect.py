"""connect: a plan's lines to a graph of components, and the links between neighbouring ports."""

from __future__ import annotations

import networkx as nx

from ..model.ends import End
from ..model.finding import Note
from ..model.hookup import Component, Hookup, LineInfo, Link, Move
from ..model.kind import as_it_stands
from ..model.nearest import nearest
from ..model.plan import CoilPlan, ItemStep, LinePlan, PointRef, Step
from ..model.size import Size
from ..model.span import Span
from .changes import tags_of
from .coil_ends import coil_end
from .expanded import Expanded
from .ports import port_for
from .run import Run
from .spec_of import spec_of


def connect(expanded: Expanded, run: Run) -> Hookup:
    """The graph of one plan.

    Needs: plans. Adds: components (nodes) and links; no joints, elbows or pipe yet.
    Finds: points that are not there, ports used twice, tags used twice, services without a spec, lines that join
    themselves.
    """
    return _Connector(expanded, run).connect()


class _Connector:
    """The state of connecting one plan."""

    def __init__(self, expanded: Expanded, run: Run) -> None:
        plan = expanded.plan
        self.plan = plan
        self.declared = run.declared
        self.findings = run.findings
        self.hookup = Hookup(
            name=plan.name,
            drawn=plan.drawn,
            airflow=expanded.airflow,
            units=tuple(expanded.units),
            graph=nx.MultiDiGraph(),
            services=run.declared.services,
            span=plan.span,
            lineups=plan.lineups,
            lengths=run.declared.lengths,
            cabinet=plan.cabinet,
        )
        self.used: dict[tuple[str, str], Span] = {}  # (component, port) -> the line that took it
        self.tags: dict[str, Component] = {}
        self.taps: dict[str, int] = {}
        self.mains = expanded.mains
        # Tags that stand in the plan on what is left out, each for a reason that is found there.
        self.not_laid = {*plan.unread, *(coil.facts.tag for coil in plan.coils if not coil.sizes)}
        self.laid: list[Link] = []  # the inner links of the line being laid, in flow order

    def connect(self) -> Hookup:
        for coil in self.plan.coils:
            self._coil(coil)
        self._lines()
        self._lineups()
        return self.hookup

    # -- components ---------------------------------------------------------------------------------------------

    def _add(self, component: Component) -> Component:
        if component.tag:
            first = self.tags.setdefault(component.tag, component)
            if first is not component:
                self.findings.add(
                    "tag-used-twice",
                    f"tag `{component.tag}` is used twice in `{self.plan.name}`",
                    component.origin[0],
                    notes=(Note("first used here", first.origin[0]),),
                    help="give one of them a tag of its own",
                )
        self.hookup.add(component)
        return component

    def _coil(self, coil: CoilPlan) -> None:
        facts = coil.facts
        kind = self.declared.kinds["coil"]
        sizes = list(coil.sizes.values())
        if not sizes:
            return
        component = self._add(Component(facts.tag, kind, sizes[0], "", facts.service, (facts.span,), tag=facts.tag))
        for name, size in coil.sizes.items():
            component.ends[name] = coil_end(coil.asks[name], size, facts.header_metal)
        self.hookup.coils[facts.tag] = facts
        plug = self.declared.kinds["plug"]
        for role, size, span in coil.taps:
            port = f"{role} tap"
            component.ends[port] = End("female thread", size, facts.header_metal or "copper")
            made = self._add(
                Component(
                    f"{facts.tag} {port}",
                    plug,
                    size,
                    "",
                    facts.service,
                    (span,),
                    role=role,
                    why=f"the coil's {role} tap",
                )
            )
            made.ends["in"] = End("male thread", size, "brass")
            made.made_of = "brass"
            self.hookup.links.append(Link(component.id, port, made.id, "in", "", size, (), span=span))

    def _component(self, step: ItemStep, line: LineInfo, size: Size, number: str) -> Component:
        return self._add(
            Component(
                id=step.tag or f"{line.id} #{number}",
                kind=as_it_stands(step.kind, shut=bool(step.closed)),
                size=step.size or size,
                line=line.id,
                service=line.service,
                origin=step.origin,
                tag=step.tag,
                why=step.why,
                closed=bool(step.closed),
                position_said=step.closed is not None,
                role=step.role,
                remarks=step.remarks,
                hand=step.hand,
                branch_size=step.branch_size,
                ask=step.ask,
                fitted=step.fitted,
                weight_lb=step.weight_lb,
            )
        )

    # -- lines --------------------------------------------------------------------------------------------------

    def _lines(self) -> None:
        """Lay the lines whose service is known first; the others take the service of where they start."""
        waiting = list(self.plan.lines)
        ends: list[tuple[LinePlan, LineInfo, Link, Link, list[Link]]] = []
        while waiting:
            ready = [line for line in waiting if self._service(line)]
            ready = ready or [line for line in waiting if self._of_main(line)]
            if not ready:  # nobody knows what these carry, so they are not laid
                ready = waiting
                self.not_laid |= tags_of(waiting)
            for line in ready:
                info = self._info(line)
                if info is None:
                    self.not_laid |= tags_of([line])
                else:
                    self.laid = []
                    first = Link("", "", "", "", info.id, info.size, (), span=line.span)
                    last = self._run(first, line.steps, info, info.size, "")
                    ends.append((line, info, first, last, self.laid))
            waiting = [line for line in waiting if not any(line is r for r in ready)]
        for line, info, first, last, inner in ends:
            self.laid = self.hookup.links
            self._tie_ends(line, info, first, last, inner)

    def _service(self, line: LinePlan) -> str:
        """The service of what a line joins: at its end if it is a supply, else at its start, else at its other end."""
        points = [line.start, line.end] if line.word != "supply" else [line.end, line.start]
        found = [self.tags[p.tag].service for p in points if p is not None and not p.is_main and p.tag in self.tags]
        return next((service for service in found if service), "")

    def _of_main(self, line: LinePlan) -> str:
        """What the mains carry that a line joins."""
        points = [p for p in (line.start, line.end) if p is not None and p.is_main]
        return next((self.mains[p.tag] for p in points if p.tag in self.mains), "")

    def _info(self, line: LinePlan) -> LineInfo | None:
        if line.size is None:
            return None  # already found as size-missing
        service = self._service(line) or self._of_main(line)
        if not service:
            self._no_service(line)
            return None
        spec = spec_of(service, self.declared, self.findings)
        if spec is None:
            return None
        coil = line.end if line.word == "supply" else line.start if line.word == "return" else None
        start, end = (point.place if point is not None else None for point in (line.start, line.end))
        spans = tuple(point.span if point is not None else None for point in (line.start, line.end))
        served = coil.tag if coil else ""
        info = LineInfo(
            line.id, line.word, line.size, service, spec, line.span, served, line.remarks, start, end, spans
        )
        self.hookup.lines[line.id] = info
        return info

    def _no_service(self, line: LinePlan) -> None:
        """Say why nobody knows what a line carries, unless a coil it joins is itself at fault, which is found there."""
        points = [p for p in (line.start, line.end) if p is not None and not p.is_main]
        if any(p.tag == coil.facts.tag for p in points for coil in self.plan.coils):
            return
        unknown = [p for p in points if p.tag not in self.tags]
        for point in unknown:
            self._unknown_point(point, line)
        if not unknown:
            self.findings.add(
                "service-missing",
                f"what this {line.word} line carries is not known: no end of it leads to a coil",
                line.span,
                help="start or end it at a coil, or at a tagged tee of a line that joins one; or say what its main "
                "carries: `main TAG on SERVICE`",
            )

    def _run(self, link: Link, steps: tuple[Step, ...], info: LineInfo, size: Size, prefix: str) -> Link:
        """Hang steps on an open link, one after the other; returns the link that is open at the end."""
        moves: list[Move] = []
        for number, step in enumerate(steps, 1):
            if isinstance(step, Move):
                moves.append(step)
                if step.legs:
                    self.hookup.moves.append((info.id, step))
                continue
            before = size
            if step.kind.name == "reducer" and step.size is not None:
                size = step.size
            component = self._component(step, info, size, f"{prefix}{number}")
            if step.kind.name == "reducer":
                component.size, component.branch_size = before, size
            link.b, link.port_b, link.moves = component.id, "in", tuple(moves)
            self._close(link)
            moves = []
            if step.branch:
                side = "bypass" if step.kind.ports == "three-way" else "branch"
                branch_size = step.branch_size or size
                open_ = Link(component.id, side, "", "", info.id, branch_size, (), span=step.origin[0])
                self.used[component.id, side] = step.origin[0]
                component.branch_size = branch_size
                rest = self._run(open_, step.branch, info, branch_size, f"{prefix}{number}.")
                self._end_branch(rest)
            if step.kind.ports == "end":
                if number < len(steps):
                    self.findings.add(
                        "nothing-passes",
                        f"nothing can follow a {step.kind.name}: it is an end",
                        step.origin[0],
                        help="put what follows on a tee of its own",
                    )
                return Link("", "", "", "", info.id, size, (), span=step.origin[0])
            link = Link(component.id, "out", "", "", info.id, size, (), span=step.origin[0])
        link.moves = tuple(moves)
        return link

    def _end_branch(self, link: Link) -> None:
        """A branch that runs on past its last item stays open there; the rules find it."""
        if link.a and link.moves:
            self.findings.add(
                "pipe-ends-nowhere",
                "this branch ends in open pipe",
                link.moves[-1].span,
                help="end it with a cap, a plug, a hose end or another end; if the line itself goes on here, "
                "write this as far in as the item above it",
            )

    def _close(self, link: Link) -> None:
        if link.a and link.b:
            self.laid.append(link)
            self.used.setdefault((link.a, link.port_a), link.span or self.plan.span)
            self.used.setdefault((link.b, link.port_b), link.span or self.plan.span)

    def _lineups(self) -> None:
        """The valves and coils that lineups name must be there."""
        for lineup in self.plan.lineups:
            named = [*lineup.open, *lineup.closed, *((coil, span) for coil, _, span in lineup.expect)]
            for tag, span in named:
                if tag not in self.tags:
                    self._unknown_tag(tag, span, "valve or coil")

    def _unknown_point(self, point: PointRef, line: LinePlan) -> None:
        """An end of a line that is not there: a supply runs to a coil and a return from one, all else is free."""
        at_coil = point is {"return": line.start, "supply": line.end}.get(line.word)
        self._unknown_tag(point.tag, point.span, "coil" if at_coil else "coil, tee or valve", end=not at_coil)

    def _unknown_tag(self, tag: str, span: Span, what: str, *, end: bool = False) -> None:
        """A tag that is not there; at the `end` of a line the word `main` may have been left out."""
        if tag in self.not_laid:
            return
        there = sorted(self.not_laid.union(self.tags))
        close = nearest(tag, there)
        known = ", ".join(f"`{other}`" for other in there[:8])
        help = f"`{close}` is there" if close else f"its tags are: {known}"
        if end:
            mains = dict.fromkeys(p.tag for line in self.plan.lines for p in (line.start, line.end) if p and p.is_main)
            if tag in mains:
                help = f"main `{tag}` is there: write `main {tag}`"
            elif close:
                help = f"{help}; if it is a main, write `main {tag}`"
            else:
                help = f"if it is a main, write `main {tag}`; {help}"
        self.findings.add("unknown-tag", f"there is no {what} `{tag}` in `{self.plan.name}`", span, help=help)

    # -- the two ends of a line ---------------------------------------------------------------------------------

    def _tie_ends(self, line: LinePlan, info: LineInfo, first: Link, last: Link, inner: list[Link]) -> None:
        """Join a line's two open links to the points it runs between; its links are kept in flow order."""
        if (
            line.start
            and line.end
            and not line.start.is_main
            and (line.start.tag, line.start.port) == (line.end.tag, line.end.port)
        ):
            self.findings.add(
                "line-joins-itself",
                f"this line starts and ends at `{line.start.tag}`",
                line.span,
                help="name another tee at one of its ends",
            )
            return
        start = self._point(line.start, line, info, "return")
        end = self._point(line.end, line, info, "supply")
        if start is not None:
            first.a, first.port_a = start
        if end is not None and last.a:
            last.b, last.port_b = end
        if first is last and end is not None:
            first.b, first.port_b = end
        self._close(first)
        self.hookup.links.extend(inner)
        if first is not last:
            self._close(last)

    def _point(self, point: PointRef | None, line: LinePlan, info: LineInfo, coil_port: str) -> tuple[str, str] | None:
        """The component and port that a point names."""
        if point is None:
            return None
        if point.is_main:
            return self._main(point, info)
        component = self.tags.get(point.tag)
        if component is None:
            self._unknown_point(point, line)
            return None
        port = port_for(component, point, line, coil_port, self.findings)
        if port is None:
            return None
        before = self.used.get((component.id, port))
        if before is not None:
            self.findings.add(
                "port-used-twice",
                f"another line already joins the {port} of `{point.tag}`",
                point.span,
                notes=(Note("the other joins it here", before),),
                help="put a tagged tee on the other line, and join that",
            )
            return None
        self.used[component.id, port] = point.span
        return component.id, port

    def _main(self, point: PointRef, info: LineInfo) -> tuple[str, str]:
        id, service = f"main {point.tag}", self.mains.get(point.tag, "")
        if id not in self.hookup.graph:
            component = Component(
                id, self.declared.kinds["main"], point.size or info.size, "", service, (point.span,), tag=point.tag
            )
            component.branch_size = point.size
            self.hookup.add(component)
        self.taps[id] = self.taps.get(id, 0) + 1
        return id, f"tap {self.taps[id]}"
