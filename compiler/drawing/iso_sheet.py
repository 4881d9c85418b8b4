"""The sheet of an isometric: head, sign of the axes, figure, legend, and its tables beside or below."""

from __future__ import annotations

from dataclasses import dataclass

from ..model.hookup import NOT_MADE_UP
from ..takeoff.tally import units_text
from .iso_arrange import arrange
from .iso_axes import AXES, axis, project, shift
from .iso_bill import SmallTable, cut_table, weld_table
from .iso_cut import fits
from .iso_figure import Figure
from .iso_subject import Subject
from .iso_symbols import arrow, broken, field_weld, joint_sign, line, shop_weld
from .iso_tables import draw, set_table
from .svg import BOLD, INK, PAPER, Box, Drawing, Stroke, element, num, text_width, words, wrapped

_MARGIN = 18.0
_TITLE, _TEXT, _STEP = 15.0, 9.5, 12.5
_LEAST_WIDTH = 560.0
_SIGN = 96.0
#: Room around a figure.
_AROUND = 8.0
#: How high a head is, more or less.
_HEAD_HIGH = 110.0
_NOTE = (
    "Not to scale. Lengths centre to centre, at the end of a spool to its face. EL: level of the centreline above the "
    "unit's bench mark. Gaskets and bolts: see the list of bolting."
)
_TAKEN = "Branches whose direction the file does not say: drains hang, vents stand."


@dataclass(frozen=True, slots=True)
class Isometric(Drawing):
    """An isometric on its sheet; and its parts, to be set on paper by themselves: the `figure` with its legend and the
    sign of the axes, its `tables`, and what it is of (`about`)."""

    figure: Drawing | None = None
    tables: tuple[SmallTable, ...] = ()
    about: str = ""
    is_spool: bool = False
    thin: tuple[tuple[Stroke, Box | None], ...] = ()  # leaders and lines of dimensions, each with the text it is of


class Sheet:
    """A subject on its sheet, with its figure if that is drawn already."""

    def __init__(self, subject: Subject, figure: Figure | None = None) -> None:
        self.subject = subject
        self.figure = figure or Figure(subject)

    def drawing(self) -> Isometric:
        """All of it."""
        figure = self.figure
        left, top, wide, high = self._bounds()
        small = self._tables()
        tables = [set_table(table) for table in small]
        legend, more, legend_wide = self._legend()
        alone = self._alone(left, top, (wide, high), (legend, legend_wide))
        wide = max(wide, legend_wide)
        figure_high = high + 6 + _STEP + 8
        found = arrange(tables, wide, figure_high, (2 * _MARGIN, _HEAD_HIGH + _MARGIN))
        width = max(found.width + 2 * _MARGIN, _LEAST_WIDTH)
        head, boxes, at = self._head(width)
        x, y = _MARGIN - left, at - top
        body = element("g", figure.body, transform=f"translate({num(x)} {num(y)})")
        boxes += [box._replace(x=box.x + x, y=box.y + y) for box in figure.room.boxes]
        pipes = tuple(Stroke(s.x1 + x, s.y1 + y, s.x2 + x, s.y2 + y) for s in figure.pipes)
        bottom = at + high + 6
        legend = element("g", legend, transform=f"translate({num(_MARGIN)} {num(bottom)})")
        boxes += [box._replace(x=box.x + _MARGIN, y=box.y + bottom) for box in more]
        for table, (across, down) in zip(tables, found.places, strict=True):
            text, own = draw(table, _MARGIN + across, at + down)
            body += text
            boxes += own
        height = at + found.height + _MARGIN
        paper = element("rect", "", width=width, height=height, fill=PAPER, class_="dg-paper")
        title = self._title()
        return Isometric(
            title,
            self._desc(),
            width,
            height,
            paper + head + body + legend,
            tuple(boxes),
            pipes,
            alone,
            tuple(small),
            f"{self._about()}. {self._hand()}",
            self.subject.is_spool,
            tuple((Stroke(s.x1 + x, s.y1 + y, s.x2 + x, s.y2 + y), _moved(box, x, y)) for s, box in figure.room.thin),
        )

    def fits(self) -> bool:
        """Whether its figure can be read on a page."""
        _, _, wide, high = self._bounds()
        return fits(max(wide, self._legend()[2]), high + 6 + _STEP + 8)

    def _bounds(self) -> tuple[float, float, float, float]:
        """Left, top, width and height of the figure with all that is on it, ticks of dimensions too."""
        figure = self.figure
        corners = [(box.x, box.y) for box in figure.room.boxes]
        corners += [(box.x + box.width, box.y + box.height) for box in figure.room.boxes]
        corners += [
            (x, y) for s in (*figure.pipes, *(s for s, _ in figure.room.thin)) for x, y in ((s.x1, s.y1), (s.x2, s.y2))
        ]
        left, top = min(x for x, _ in corners) - _AROUND, min(y for _, y in corners) - _AROUND
        return left, top, max(x for x, _ in corners) + _AROUND - left, max(y for _, y in corners) + _AROUND - top

    def _alone(self, left: float, top: float, size: tuple[float, float], legend: tuple[str, float]) -> Drawing:
        """The figure with its legend below, and the sign of the axes in its upper right corner, or beside it."""
        wide, high = max(size[0], legend[1]), size[1]
        sign, boxes = _axes(wide - _SIGN / 2, 38)
        free = not any(
            box._replace(x=box.x - left, y=box.y - top).meets(own) for box in self.figure.room.boxes for own in boxes
        )
        pipes = [
            Box(min(s.x1, s.x2) - left, min(s.y1, s.y2) - top, abs(s.x1 - s.x2), abs(s.y1 - s.y2), "symbol", "")
            for s in self.figure.pipes
        ]
        corner = Box(wide - _SIGN, 0, _SIGN, _SIGN * 0.8, "label", "")
        if not free or any(corner.meets(pipe) for pipe in pipes):
            sign, _ = _axes(wide + _SIGN / 2, 38)
            wide += _SIGN
        body = element("g", self.figure.body, transform=f"translate({num(-left)} {num(-top)})")
        below = element("g", legend[0], transform=f"translate(0 {num(high + 6)})")
        return Drawing(self._title(), self._desc(), wide, max(high + 6 + _STEP + 8, _SIGN), body + below + sign)

    # -- words --------------------------------------------------------------------------------------------------------

    def _title(self) -> str:
        subject = self.subject
        if subject.is_spool:
            return f"Isometric of spool {subject.name}{subject.sheet_text}"
        units = units_text(subject.hookup.units) or subject.hookup.name
        return f"Isometric of {units}: {subject.name}{subject.sheet_text}"

    def _hand(self) -> str:
        hookup = self.subject.hookup
        if not hookup.airflow:
            return "airflow not said"
        return f"as built: airflow {hookup.airflow}" + (", the other hand than drawn" if hookup.mirrored else "")

    def _desc(self) -> str:
        return f"{self._about()}. {self._hand()}. Right, toward and up as seen facing the coil's connections. {_NOTE}"

    def _about(self) -> str:
        subject = self.subject
        lines = [subject.hookup.lines[line] for line in subject.lines if line in subject.hookup.lines]
        services = ", ".join(dict.fromkeys(info.service for info in lines if info.service))
        names = ", ".join(f"{subject.said(info.id)}, {subject.wording.size(info.size.label)}" for info in lines)
        units = ", ".join(unit.tag for unit in subject.hookup.units) or subject.hookup.name
        each = " (each)" if len(subject.hookup.units) > 1 else ""
        return f"Units: {units}{each}. Line: {names}. Service: {services or 'not said'}"

    def _head(self, width: float) -> tuple[str, list[Box], float]:
        """Title and what it is of at the left, the sign of the axes at the right; and the y below them."""
        boxes: list[Box] = []
        made, y = "", _MARGIN
        room = width - 2 * _MARGIN - _SIGN - 30

        def say(text: str, size: float, step: float, bold: bool = False) -> None:
            nonlocal made, y
            wide = BOLD if bold else 1.0
            for one in wrapped(text, size, room / wide, most=4):
                boxes.append(Box(_MARGIN, y, text_width(one, size) * wide, step, "label", "head"))
                weight = "bold" if bold else ""
                made += words(
                    [one], _MARGIN, y + size * 0.95, size, step, font_weight=weight, fill=INK, class_="dg-ink-fill"
                )
                y += step

        say(self._title(), _TITLE, _TITLE + 4, bold=True)
        say(self._about() + ".", _TEXT, _STEP)
        say(self._hand() + ".", _TEXT, _STEP)
        say(_NOTE, _TEXT, _STEP)
        if any(leg.straight.taken for leg in self.subject.legs):
            say(_TAKEN, _TEXT, _STEP)
        sign, own = _axes(width - _MARGIN - _SIGN / 2 - 12, _MARGIN + 38)
        return made + sign, boxes + own, max(y + 10, _MARGIN + 84)

    def _tables(self) -> list[SmallTable]:
        subject, figure = self.subject, self.figure
        shown = {bit.component.id for leg in subject.legs for bit in leg.bits if bit.component is not None}
        cuts = [(n, piece) for n, piece in subject.cuts if any(c.id in shown for c in piece.components)]
        welds = [figure.welds[number] for number in sorted(figure.welds)]
        made = [subject.items.table(subject.wording)]
        if cuts:
            made.append(cut_table(cuts, None if subject.is_spool else subject.said, subject.wording))
        if welds:
            made.append(weld_table(welds, subject.wording))
        return made

    def _legend(self) -> tuple[str, list[Box], float]:
        """What the signs mean that are in the figure, from 0,0 on; and how wide that is."""
        pipe, along = line((-4, 6), (16, 6), 2.4), (1.0, 0.0)
        signs = {
            "shop weld": shop_weld((6, 6)),
            "field weld": field_weld((6, 6)),
            "soldered": joint_sign("soldered", (6, 6), along, (0.0, 1.0), 4),
            "threaded": pipe + joint_sign("threaded", (6, 6), along, (0.0, 1.0), 4),
            "grooved": pipe + joint_sign("grooved", (6, 6), along, (0.0, 1.0), 4),
            "bolted": pipe + joint_sign("bolted", (6, 6), along, (0.0, 1.0), 5),
            f"{NOT_MADE_UP}: see the findings": joint_sign(NOT_MADE_UP, (6, 6), along, (0.0, 1.0), 4),
            "break: length not drawn": pipe + broken((6, 6), along),
            "flow": pipe + arrow((6, 6), along),
        }
        made, boxes, at = "", [], 6.0
        for text, sign in signs.items():
            if text.split(":")[0] not in self.figure.used:
                continue
            made += element("g", sign, transform=f"translate({num(at)} 0)")
            made += words([text], at + 21, 9, _TEXT, _STEP, fill=INK, class_="dg-ink-fill")
            width = text_width(text, _TEXT)
            boxes.append(Box(at + 21, 0, width, _STEP, "label", "legend"))
            at += 43 + width
        return made, boxes, at


def _moved(box: Box | None, x: float, y: float) -> Box | None:
    return None if box is None else box._replace(x=box.x + x, y=box.y + y)


def _axes(x: float, y: float) -> tuple[str, list[Box]]:
    """The sign of the axes: which way right, toward and up are drawn."""
    made, boxes = "", []
    for heading in AXES:
        unit = axis(heading)
        assert unit is not None
        way = project(unit)
        tip = shift((x, y), way, 26)
        made += line((x, y), tip, 1.0) + arrow(shift((x, y), way, 24), way, 4)
        width = text_width(heading, _TEXT)
        at_x = tip[0] + 4 if heading == "right" else tip[0] - width - 4 if heading == "toward" else tip[0] - width / 2
        at_y = tip[1] - 14 if heading == "up" else tip[1] - 2
        made += words([heading], at_x, at_y + 9, _TEXT, _STEP, fill=INK, class_="dg-ink-fill")
        boxes.append(Box(at_x, at_y, width, 11, "label", "axes"))
    return element("g", made, class_="dg-axes"), boxes
