"""The line diagram of a hookup as SVG: from the graph alone, no measurements needed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from ..analysis.lineups import Standing, lineups_of, worked_out
from ..analysis.sections import Sections
from ..model.finding import Finding
from ..model.hookup import Component, Hookup, with_number
from ..takeoff.describe import description
from ..takeoff.lineups import parts_by_line
from ..takeoff.tally import units_text
from .carried import Look, Looks
from .cells import LETTERS, MARK, SIGN, STEP, Cells, Label, Mark, OnPipe, Part, Pipe, Placed
from .layout import CoilBox, Layout, lay_out
from .numbered import places
from .rows import Reading
from .svg import (
    ACCENT,
    BOLD,
    INK,
    PAPER,
    SOFT,
    Box,
    Drawing,
    Stroke,
    element,
    num,
    path,
    plain,
    text_width,
    words,
    wrapped,
)
from .symbols import Turn, named
from .symbols import drawn as symbol_drawn
from .wording import INCH_POUND, Wording

_MARGIN, _HEAD, _SAID = 16.0, 15.0, 11.0
_LEAST_WIDTH = 420.0
_AIRFLOWS = ("left to right", "right to left")


def line_diagram(
    hookup: Hookup,
    *,
    drawn: bool = False,
    findings: Sequence[tuple[int, Finding]] = (),
    standing: Standing | None = None,
    lineup: str = "",
    wording: Wording = INCH_POUND,
) -> Drawing:
    """The line diagram of a hookup, as built; with `drawn`, in the hand in which the file draws it.

    `findings`: those to be shown at their places, each with its number. `standing`: a lineup worked out, by the name
    `lineup`; valves, pipes and coils are then shown as they stand in it.
    """
    return _Sheet(_Laid(hookup, findings, wording), drawn, standing, lineup).drawing()


def both_hands(
    hookup: Hookup, *, findings: Sequence[tuple[int, Finding]] = (), wording: Wording = INCH_POUND
) -> tuple[Drawing, ...]:
    """As drawn and as built, to be set side by side; just one where units are built as drawn."""
    laid = _Laid(hookup, findings, wording)
    return tuple(_Sheet(laid, drawn).drawing() for drawn in ((True, False) if hookup.mirrored else (False,)))


def lineup_diagrams(hookup: Hookup, sections: Sections, wording: Wording = INCH_POUND) -> tuple[Drawing, ...]:
    """One for every lineup that the file writes; the normal one if it writes none."""
    made, laid = worked_out(hookup, sections), _Laid(hookup, (), wording)
    return tuple(_Sheet(laid, False, made.stand(one), one.name).drawing() for one in lineups_of(hookup))


class _Laid:
    """A hookup laid out, for all its sheets. `nowhere`: the findings that have no place on them."""

    def __init__(self, hookup: Hookup, findings: Sequence[tuple[int, Finding]], wording: Wording) -> None:
        self.hookup, self.wording = hookup, wording
        self.number = hookup.units[0].number if len(hookup.units) == 1 else "*"
        self._marks, self.nowhere = places(hookup, findings, Reading(hookup).shown() if findings else ())
        self._cells = Cells(self.number, self._marks, wording)
        self._made: dict[tuple[tuple[str, ...], ...], Layout] = {}

    def out(self, notes: Mapping[str, Sequence[str]]) -> Layout:
        """The layout with some more lines in its coils."""
        key = tuple((tag, *lines) for tag, lines in notes.items())
        if key not in self._made:
            self._made[key] = lay_out(self.hookup, self.number, self._marks, notes, self._cells)
        return self._made[key]


class _Sheet:
    """One sheet. The layout runs outward from the coils; here it gets its hand."""

    def __init__(self, laid: _Laid, drawn: bool, standing: Standing | None = None, lineup: str = "") -> None:
        self.hookup, self.standing, self.lineup = laid.hookup, standing, lineup
        self.airflow = self.hookup.drawn if drawn and self.hookup.drawn else self.hookup.airflow
        self.as_drawn = drawn and self.hookup.mirrored
        self.number, self.nowhere, self.wording = laid.number, laid.nowhere, laid.wording
        self.looks = Looks(self.hookup, standing)
        notes = {tag: self._coil_notes(standing, tag) for tag in self.hookup.coils} if standing is not None else {}
        self.layout = laid.out(notes)
        self.flipped = (self.airflow == "right to left") != self.layout.mains_left
        self.boxes: list[Box] = []
        self.pipes: list[Stroke] = []
        self.width = max(self.layout.width, _LEAST_WIDTH) + 2 * _MARGIN

    def _coil_notes(self, standing: Standing, tag: str) -> list[str]:
        if tag not in self.hookup.graph:
            return []
        carries = " and ".join(standing.standing(tag)) or "nothing: shut in"
        flows, way = standing.flowing(tag)
        moves = {1: "flows", -1: "flows backward", 0: "flows either way"}[way] if flows else "does not flow"
        return [f"carries {carries}", moves]

    # -- the sheet ----------------------------------------------------------------------------------------------

    def drawing(self) -> Drawing:
        """The whole of it."""
        title = self._title()
        body, at = self._head(title)
        self.top = at
        inner = "".join(self._pipe(part) for part in self.layout.parts if isinstance(part, Pipe))
        inner += "".join(map(self._coil, self.layout.coils))
        inner += "".join(self._part(part) for part in self.layout.parts if not isinstance(part, Pipe))
        legend, height = self._legend(at + self.layout.height + 18.0)
        paper = element("rect", "", width=self.width, height=height, fill=PAPER, class_="dg-paper")
        return Drawing(
            title, self._desc(), self.width, height, paper + body + inner + legend, tuple(self.boxes), tuple(self.pipes)
        )

    def _title(self) -> str:
        units = units_text(self.hookup.units)
        name = self.hookup.name if not units or units == self.hookup.name else f"{self.hookup.name}: {units}"
        return f'{name}, lineup "{self.lineup}"' if self.standing is not None else name

    def _hand(self) -> str:
        if not self.airflow:
            return "airflow not said"
        word = "as drawn" if self.as_drawn else "as built" if self.hookup.mirrored else "as drawn and as built"
        return f"{word}, airflow {self.airflow}"

    def _desc(self) -> str:
        """What is on the sheet, for those who cannot see it: coils in the order of the air, each line in flow order."""
        coils = ", ".join(with_number(tag, self.number) for tag in self.hookup.coils)
        said = [f"Line diagram, {self._hand()}", f"coils in the order of the air: {coils or 'none'}"]
        for line, parts in parts_by_line(self.hookup).items():
            tags = ", ".join(with_number(part.tag, self.number) for part in parts if part.tag)
            said.append(f"{with_number(line, self.number)}: {tags}")
        return "; ".join(said)

    def _head(self, title: str) -> tuple[str, float]:
        """Title, what hand it is, and the arrow of the air above the coils; and the y below it all."""
        at = _MARGIN
        body = ""
        for line in wrapped(title, _HEAD * BOLD, self.width - 2 * _MARGIN, most=4, spill=1.0):
            body += self._text((line,), _MARGIN, at, _HEAD, "head", bold=True)
            at += _HEAD * 1.3
        said = [f"Line diagram, {self._hand()}", f"sizes {self.wording.sizes}, not to scale"]
        if self.nowhere:
            said.append("findings without a place here: " + ", ".join(map(str, self.nowhere)))
        for line in wrapped("; ".join(said), _SAID, self.width - 2 * _MARGIN, spill=1.0):
            body += self._text((line,), _MARGIN, at, _SAID, "head")
            at += STEP * _SAID / LETTERS
        at += 8.0
        if self.airflow in _AIRFLOWS and self.layout.coils:
            body += self._air(at)
            at += 26.0
        return body, at

    def _air(self, y: float) -> str:
        """The broad arrow of the air over all coils."""
        first = min(box.x for box in self.layout.coils)
        last = max(box.x + box.width for box in self.layout.coils)
        a, b = sorted((self._x(first), self._x(last)))
        tail, tip, s = (a, b, 1) if self.airflow == "left to right" else (b, a, -1)
        middle = y + 8.0
        shape = (
            f"M{num(tail)} {num(middle - 4)}H{num(tip - 12 * s)}V{num(middle - 9)}L{num(tip)} {num(middle)}"
            f"L{num(tip - 12 * s)} {num(middle + 9)}V{num(middle + 4)}H{num(tail)}Z"
        )
        self.boxes.append(Box(a, y - 1.0, b - a, 18.0, "mark", "airflow"))
        arrow = path(shape, fill=PAPER, class_="dg-paper dg-ink", stroke=SOFT, stroke_width=1.2)
        width = text_width("airflow", LETTERS)
        outward = self._x(last) + (8.0 if not self.flipped else -8.0 - width)
        return arrow + self._text(("airflow",), outward, middle - STEP / 2, LETTERS, "airflow")

    def _legend(self, y: float) -> tuple[str, float]:
        """What patterns, filled valves and numbers stand for; and the height of the sheet."""
        entries: list[tuple[str, str]] = []
        for text, look in self.looks.legend:
            entries.append((text, _line(0.0, 0.0, 30.0, 0.0, look)))
        shut = any(isinstance(p, Placed) and p.component and self._is_shut(p.component) for p in self.layout.parts)
        if shut:
            sample = symbol_drawn(named("shutoff valve"), 15.0, 0.0, Turn(), shut=True)
            entries.append(("shut" if self.standing is not None else "normally shut", sample))
        signs = {part.sign for part in self.layout.parts if isinstance(part, OnPipe) and self.standing is None}
        for sign, text in (("hanger", "hanger"), ("through", "through a floor, wall or roof")):
            if sign in signs:
                pipe = element("line", "", x1=4, y1=0, x2=26, y2=0, stroke=INK, stroke_width=1.8, class_="dg-ink")
                entries.append((text, pipe + _sign(sign, 15.0, 0.0)))
        if any(isinstance(part, Placed) and part.symbol.name == "fold" for part in self.layout.parts):
            fold = replace(named("fold"), letters="A")
            entries.append(("goes on at the same letter", symbol_drawn(fold, 15.0, 0.0, Turn())))
        if any(isinstance(part, Mark) for part in self.layout.parts):
            entries.append(("number of a finding", _circle(15.0, 0.0, "n")))
        x, at, made = _MARGIN, y, ""
        for text, sample in entries:
            width = 36.0 + text_width(text, LETTERS)
            if x > _MARGIN and x + width > self.width - _MARGIN:
                x, at = _MARGIN, at + 20.0
            self.boxes.append(Box(x, at - 7.5, 30.0, 15.0, "mark", "legend"))
            made += element("g", sample, transform=f"translate({num(x)} {num(at)})")
            lines = wrapped(text, LETTERS, self.width - 2 * _MARGIN - 36.0, spill=1.0)
            made += self._text(tuple(lines), x + 36.0, at - STEP / 2, LETTERS, "legend")
            x, at = x + width + 22.0, at + (len(lines) - 1) * STEP
        return made, at + 12.0 + _MARGIN / 2

    # -- parts --------------------------------------------------------------------------------------------------

    def _x(self, outward: float) -> float:
        """From the layout to the sheet."""
        x = _MARGIN + outward
        return self.width - x if self.flipped else x

    def _y(self, y: float) -> float:
        return self.top + y

    def _is_shut(self, component: Component) -> bool:
        return component.id in self.standing.shut if self.standing is not None else component.closed

    def _part(self, part: Part) -> str:
        if isinstance(part, Placed):
            return self._symbol(part)
        if isinstance(part, Label):
            return self._label(part)
        if isinstance(part, Mark):
            x, y = self._x(part.x), self._y(part.y)
            self.boxes.append(Box(x - MARK, y - MARK, 2 * MARK, 2 * MARK, "mark", part.of))
            return _circle(x, y, str(part.number))
        if isinstance(part, OnPipe) and self.standing is None:
            x, y = self._x(part.x), self._y(part.y)
            self.boxes.append(Box(x - SIGN, y - SIGN, 2 * SIGN, 2 * SIGN, "mark", part.of))
            tip = element("title", plain(part.about))
            return element("g", tip + _sign(part.sign, x, y), class_="dg-symbol", data_at=part.at)
        return ""

    def _symbol(self, part: Placed) -> str:
        turn = part.turn
        if self.flipped and turn.along in ("left", "right"):
            turn = Turn("left" if turn.along == "right" else "right", turn.over)
        elif self.flipped:
            turn = Turn(turn.along, not turn.over)
        x, y = self._x(part.x), self._y(part.y)
        left, right, up, down = turn.reach(part.symbol)
        component = part.component
        of = component.id if component is not None else ""
        self.boxes.append(Box(x - left, y - up, left + right, up + down, "symbol", of))
        if component is None:
            return symbol_drawn(part.symbol, x, y, turn)
        return symbol_drawn(
            part.symbol,
            x,
            y,
            turn,
            shut=self._is_shut(component),
            at=_places(component),
            about=self._about(component),
        )

    def _about(self, component: Component) -> str:
        tag = with_number(component.tag, self.number)
        said = (
            f"{self.wording.size(component.size.label)} {description(component)}"
            if component.kind.ports != "main"
            else component.service
        )
        return f"{tag}: {said}" if tag else said

    def _label(self, part: Label) -> str:
        if not part.lines:
            return ""
        x = self._x(part.x + part.width if self.flipped else part.x)
        y = self._y(part.y)
        self.boxes.append(Box(x, y, part.width, part.height, "label", part.of))
        anchor = "middle" if part.anchor == "middle" else "end" if self.flipped else "start"
        at = x + {"start": 0.0, "middle": part.width / 2, "end": part.width}[anchor]
        weight = "bold" if part.bold else ""
        return words(
            part.lines,
            at,
            y + STEP - 2.5,
            LETTERS,
            STEP,
            text_anchor=anchor,
            font_weight=weight,
            class_="dg-ink-fill",
            fill=INK,
        )

    def _text(self, lines: tuple[str, ...], x: float, y: float, size: float, of: str, bold: bool = False) -> str:
        """Text of the sheet itself, from `y` downward, never turned to the other hand."""
        width = max(text_width(line, size) for line in lines) * (BOLD if bold else 1.0)
        self.boxes.append(Box(x, y, width, len(lines) * STEP * size / LETTERS, "label", of))
        weight = "bold" if bold else ""
        step = STEP * size / LETTERS
        return words(lines, x, y + size * 0.9, size, step, font_weight=weight, class_="dg-ink-fill", fill=INK)

    def _coil(self, box: CoilBox) -> str:
        a, b = sorted((self._x(box.x), self._x(box.x + box.width)))
        y = self._y(box.y)
        self.boxes.append(Box(a, y, b - a, box.height, "symbol", box.component.id))
        frame = element(
            "rect",
            element("title", plain(self._about(box.component))),
            x=a,
            y=y,
            width=b - a,
            height=box.height,
            fill=PAPER,
            fill_opacity=0,
            stroke=INK,
            stroke_width=1.6,
            class_="dg-ink",
        )
        rings = "".join(
            element("circle", "", cx=self._x(x), cy=self._y(at), r=4, fill=PAPER, stroke=INK, class_="dg-paper dg-ink")
            for x, at in box.ports
        )
        return element("g", frame + rings, class_="dg-symbol", data_at=_places(box.component))

    def _pipe(self, pipe: Pipe) -> str:
        x1, x2, y1, y2 = self._x(pipe.x1), self._x(pipe.x2), self._y(pipe.y1), self._y(pipe.y2)
        look = self.looks.of(pipe)
        if not pipe.arrow:
            self.pipes.append(Stroke(x1, y1, x2, y2))
            return _line(x1, y1, x2, y2, look, self._pipe_places(pipe))
        if look.way is None:
            return ""
        return _arrow((x1 + x2) / 2, y1, look.way * pipe.arrow * (-1 if self.flipped else 1))

    def _pipe_places(self, pipe: Pipe) -> str:
        """The lines of the file that the pipe and fittings of a stretch come from."""
        found = map(self.hookup.component, pipe.ids)
        return " ".join(dict.fromkeys(_places(c) for c in found if c.between or c.pipe is not None))


def _places(component: Component) -> str:
    """The lines of files that a component comes from, the user's own first."""
    return " ".join(dict.fromkeys(f"{span.file}:{span.line}" for span in component.origin))


def _line(x1: float, y1: float, x2: float, y2: float, look: Look, at: str = "") -> str:
    return element(
        "line",
        "",
        x1=x1,
        y1=y1,
        x2=x2,
        y2=y2,
        stroke=SOFT if look.soft else INK,
        stroke_width=look.weight,
        stroke_dasharray=look.dashes,
        class_="dg-soft" if look.soft else "dg-ink",
        data_at=" ".join(dict.fromkeys(at.split())),
    )


def _arrow(x: float, y: float, way: int) -> str:
    """The arrow of the flow, to the right for 1; for 0 one each way."""
    heads = [(5.0 * way, -5.0 * way)] if way else [(8.0, 1.0), (-8.0, -1.0)]
    d = "".join(
        f"M{num(x + foot)} {num(y - 4)}L{num(x + tip)} {num(y)}L{num(x + foot)} {num(y + 4)}Z" for tip, foot in heads
    )
    return path(d, fill=INK, class_="dg-ink-fill")


def _sign(sign: str, x: float, y: float) -> str:
    """A hanger: a rod and what it hangs from; a floor or wall: its two faces across the pipe."""
    d = f"M{num(x)} {num(y)}V{num(y - SIGN)}M{num(x - SIGN)} {num(y - SIGN)}H{num(x + SIGN)}"
    if sign == "through":
        d = "".join(f"M{num(x + side)} {num(y - SIGN)}V{num(y + SIGN)}" for side in (-2.0, 2.0))
    return path(d, fill="none", stroke=INK, stroke_width=1.0, class_="dg-ink")


def _circle(x: float, y: float, text: str) -> str:
    ring = element("circle", "", cx=x, cy=y, r=MARK, fill=PAPER, stroke=ACCENT, stroke_width=1.4, class_="dg-finding")
    size = 8.5 if len(text) < 3 else 6.0
    letters = element(
        "text",
        plain(text),
        x=x,
        y=y + size * 0.36,
        font_size=size,
        text_anchor="middle",
        fill=ACCENT,
        class_="dg-finding-text",
    )
    return element("g", ring + letters, class_="dg-mark", data_finding=text)
