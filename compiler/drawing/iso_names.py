"""What an isometric says of its pieces, ends and levels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from ..model.hookup import Component
from .iso_axes import Flat
from .iso_labels import Label, Rank
from .iso_legs import Leg, Node
from .iso_subject import Subject
from .iso_symbols import places
from .iso_ways import Ways
from .svg import wrapped
from .wording import INCH_POUND, Wording

#: The level side of an eccentric reducer, as the trade shortens it (common practice, no source).
_LEVEL_SIDES = {"flat on top": "FOT", "flat on bottom": "FOB"}
#: The widest label, pixels.
_WIDEST = 240.0


class Names:
    """The labels of a figure, gathered before there is room for them."""

    def __init__(self, subject: Subject, ways: Ways) -> None:
        self._subject, self._ways = subject, ways
        self._labels: list[tuple[Rank, Label]] = []
        self._cut_of = {c.id: number for number, piece in subject.cuts for c in piece.components}
        self._pieces = dict(subject.cuts)
        self._items = subject.items.numbers
        self._numbered: set[str] = set()
        self._cut_said: set[int] = set()

    def add(self, rank: Rank, label: Label) -> None:
        """Keep a label until all pipes lie; those of lower rank are put first."""
        lines = [self._subject.said(text) for text in label.lines if text]
        said = tuple(part for text in lines for part in wrapped(text, label.size, _WIDEST, most=20))
        if said or label.item:
            self._labels.append((rank, replace(label, lines=said)))

    def taken(self, rank: Rank | None = None) -> list[Label]:
        """Those of a rank, or all that are left in the order of their ranks; they are then no longer kept."""
        found = [pair for pair in self._labels if rank is None or pair[0] == rank]
        self._labels = [pair for pair in self._labels if pair not in found]
        return [label for _, label in sorted(found, key=lambda pair: pair[0])]

    def name(self, component: Component, at: Flat, rank: Rank, clear: float = 0.0, also: tuple[Flat, ...] = ()) -> None:
        """The label of a component: its item number, its tag, what else is to be known at the place itself."""
        if component.id in self._numbered:
            return
        self._numbered.add(component.id)
        items = self._items.get(component.id, ())
        lines = [component.tag] if component.tag else []
        if component.kind.group == "fittings" and "reduc" in component.kind.name:
            sizes = sorted({end.size for end in component.ends.values()}, key=lambda size: -size.rank)
            lines.append(self._subject.wording.size(" x ".join(size.label for size in sizes)))
            lines += [short for said, short in _LEVEL_SIDES.items() if said in component.remarks]
        cut = self._cut_of.get(component.id)
        if cut is not None and cut not in self._cut_said and (component.pipe is not None or self._alone(cut)):
            self._cut_said.add(cut)
            piece = self._pieces[cut]
            lines.append(f"P{cut}  {self._subject.wording.of(piece.length)}")
        for number, item in enumerate(items or ("",)):
            own = tuple(lines) if number == 0 else ()
            self.add(rank, Label(at[0], at[1], own, component.id, item, places(component), clear=clear, also=also))

    def _alone(self, cut: int) -> bool:
        """Whether a piece of pipe has no run of its own: it is then named at its outlet."""
        return all(component.pipe is None for component in self._pieces[cut].components)

    def ends(self, leg: Leg) -> None:
        """Labels of what lies at both ends of a leg: mains and coils with their levels, what it goes on to."""
        for node, beyond, at_end in ((leg.a, leg.before, 0.0), (leg.b, leg.beyond, leg.length)):
            x, y = self._ways.on(leg, at_end)
            if beyond:
                text = "joins what is drawn there" if beyond == "itself" else f"to {beyond}"
                self.add(Rank.END, Label(x, y, (text,), node[0], least=4))
        if leg.stub:
            x, y = self._ways.flat[leg.b]
            self.add(Rank.END, Label(x, y, (f"{leg.stub}",), leg.b[0]))
            return
        for node in (leg.a, leg.b):
            component = self._subject.hookup.component(node[0])
            if component.kind.ports in ("coil", "main") and node in (leg.straight.a, leg.straight.b):
                name = f"main {component.tag}" if component.kind.ports == "main" else f"coil {component.tag} {node[1]}"
                x, y = self._ways.flat[node]
                self.add(
                    Rank.END,
                    Label(x, y, (name, self._level(node)), component.id, at=places(component), least=8, bold=True),
                )

    def _level(self, node: Node) -> str:
        measured = self._subject.hookup.measured
        if measured is None or measured.islands.get(node) != 0:
            return ""
        return elevation(measured.marks[node][2], self._subject.wording)

    def levels(self, legs: Sequence[Leg]) -> None:
        """Levels at both ends of what rises or falls, at an eccentric reducer too, each said once along the way."""
        last = ""
        for leg in legs:
            if not leg.main or leg.stub or not (leg.unit[2] or leg.straight.rise):
                continue
            for node in (leg.a, leg.b):
                text = self._level(node)
                if text and text != last and self._subject.hookup.component(node[0]).kind.ports not in ("coil", "main"):
                    x, y = self._ways.flat[node]
                    self.add(Rank.LEVEL, Label(x, y, (text,), node[0], least=6))
                    last = text


def elevation(up: Fraction, wording: Wording = INCH_POUND) -> str:
    """A level from the bench mark.

    >>> elevation(Fraction(-18)), elevation(Fraction(0))
    ('EL -1 ft 6 in', 'EL 0')
    """
    return f"EL {'+' if up > 0 else ''}{wording.length(up)}" if up else "EL 0"
