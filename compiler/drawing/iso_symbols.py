"""Signs of an isometric: symbols laid into its planes, joints, plates, arrows.

ISO 6412-1 (general rules) and 6412-2 (isometric projection), from memory: permanent joints are dots, flanges short
strokes across the pipe, what lies behind is interrupted at a crossing, a slope is a right-angled triangle. A field weld
as a cross, a threaded joint as a short stroke and a soldered one as a ring are our own. Shapes of valves and
instruments are those of `symbols.csv`, with their sources.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..model.hookup import NOT_MADE_UP, Component
from .iso_axes import Flat, shift
from .svg import ACCENT, INK, PAPER, Box, element, num, path, plain
from .symbols import Symbol, outline

_DOT, _CROSS, _BAR, _TICK, _RING = 3.0, 4.5, 9.0, 4.5, 2.6
_LETTERS = 9.0


def places(component: Component) -> str:
    """The lines of files that a component comes from, the user's own first."""
    return " ".join(dict.fromkeys(f"{span.file}:{span.line}" for span in component.origin))


def skewed(
    symbol: Symbol, at: Flat, along: Flat, stem: Flat, *, shut: bool = False, lines: str = "", about: str = ""
) -> tuple[str, tuple[float, float, float, float]]:
    """A symbol with its pipe along one axis and its stem along another; and what it covers (x, y, width, height)."""
    matrix = " ".join(num(part) for part in (*along, -stem[0], -stem[1], *at))
    shape = outline(symbol, matrix, shut)
    if symbol.letters:
        x, y = shift(at, along, (symbol.right - symbol.left) / 2)
        shape += element(
            "text",
            plain(symbol.letters),
            x=x,
            y=y + _LETTERS * 0.36,
            font_size=_LETTERS,
            text_anchor="middle",
            class_="dg-ink-fill",
            fill=INK,
        )
    tip = element("title", plain(about)) if about else ""
    corners = [
        shift(shift(at, along, x), stem, -y) for x in (-symbol.left, symbol.right) for y in (-symbol.up, symbol.down)
    ]
    return element("g", tip + shape, class_="dg-symbol", data_at=lines), bounds(corners)


def bounds(corners: Sequence[Flat], around: float = 0.0) -> tuple[float, float, float, float]:
    """The upright box round some places, wider by `around`: x, y, width, height."""
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    x, y = min(xs) - around, min(ys) - around
    return (x, y, max(xs) + around - x, max(ys) + around - y)


def joint_sign(kind: str, at: Flat, along: Flat, across: Flat, px: float) -> str:
    """The sign of a joint that is no weld, in the middle of its room of `px` pixels."""
    if kind == "bolted":
        return bar(shift(at, along, -px / 2), across) + bar(shift(at, along, px / 2), across)
    if kind == "grooved":
        return bar(shift(at, along, -2), across, _TICK) + bar(shift(at, along, 2), across, _TICK)
    if kind == "soldered":
        return element("circle", "", cx=at[0], cy=at[1], r=_RING, fill=PAPER, stroke=INK, class_="dg-paper dg-ink")
    if kind == NOT_MADE_UP:
        return element(
            "circle", "", cx=at[0], cy=at[1], r=4, fill=PAPER, stroke=ACCENT, stroke_width=1.6, class_="dg-finding"
        )
    return "" if kind == "same piece" else bar(at, across, _TICK, 1.2)


def shop_weld(at: Flat) -> str:
    """A dot."""
    return element("circle", "", cx=at[0], cy=at[1], r=_DOT, fill=INK, class_="dg-ink-fill")


def field_weld(at: Flat) -> str:
    """A cross, with paper behind it so that the pipe does not make a star of it."""
    x, y = at
    ring = element("circle", "", cx=x, cy=y, r=_CROSS + 0.8, fill=PAPER, class_="dg-paper")
    cross = f"M{num(x - _CROSS)} {num(y - _CROSS)}L{num(x + _CROSS)} {num(y + _CROSS)}"
    cross += f"M{num(x - _CROSS)} {num(y + _CROSS)}L{num(x + _CROSS)} {num(y - _CROSS)}"
    return ring + path(cross, stroke=INK, stroke_width=1.8, fill="none", class_="dg-ink")


def bar(at: Flat, across: Flat, half: float = _BAR, width: float = 2.0) -> str:
    """A short stroke across the pipe."""
    return line(shift(at, across, -half), shift(at, across, half), width)


def line(a: Flat, b: Flat, width: float, dashes: str = "", soft: bool = False) -> str:
    """A straight line."""
    return element(
        "line",
        "",
        x1=a[0],
        y1=a[1],
        x2=b[0],
        y2=b[1],
        stroke=INK,
        stroke_width=width,
        stroke_dasharray=dashes,
        stroke_opacity=0.6 if soft else "",
        stroke_linecap="round" if width > 1.5 else "",
        class_="dg-ink",
    )


def plate(at: Flat, one: Flat, two: Flat, half: float, dashes: str = "") -> tuple[str, list[Flat]]:
    """A face that the pipe meets, as a parallelogram along two axes; and its corners."""
    corners = [shift(shift(at, one, a * half), two, b * half) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    d = "M" + "L".join(f"{num(x)} {num(y)}" for x, y in corners) + "Z"
    return path(
        d, fill=PAPER, fill_opacity=0, stroke=INK, stroke_width=1.2, stroke_dasharray=dashes, class_="dg-ink"
    ), corners


def arrow(at: Flat, along: Flat, size: float = 6.0) -> str:
    """An arrowhead on the pipe, the way of the flow."""
    tip, back = shift(at, along, size), shift(at, along, -size)
    side = (-along[1], along[0])
    a, b = shift(back, side, size * 0.6), shift(back, side, -size * 0.6)
    d = f"M{num(tip[0])} {num(tip[1])}L{num(a[0])} {num(a[1])}L{num(b[0])} {num(b[1])}Z"
    return path(d, fill=INK, class_="dg-ink-fill")


def broken(at: Flat, along: Flat) -> str:
    """Two short slanted strokes with paper between them: the pipe is not drawn in its full length here."""
    side = (-along[1], along[0])
    a, b = shift(at, along, -3), shift(at, along, 3)
    gap = line_of_paper(shift(at, along, -2.6), shift(at, along, 2.6))
    strokes = "".join(
        line(shift(shift(p, side, -6), along, -2), shift(shift(p, side, 6), along, 2), 1.1) for p in (a, b)
    )
    return gap + strokes


def line_of_paper(a: Flat, b: Flat) -> str:
    """Wipes a pipe out."""
    return element("line", "", x1=a[0], y1=a[1], x2=b[0], y2=b[1], stroke=PAPER, stroke_width=5, class_="dg-paper-line")


def slope(at: Flat, along: Flat, across: Flat) -> str:
    """The triangle of a pitch, beside the pipe: it is high where `along` comes from."""
    high, low = shift(shift(at, along, -9), across, 6), shift(shift(at, along, 9), across, 6)
    top = shift(high, across, 6)
    d = f"M{num(high[0])} {num(high[1])}L{num(low[0])} {num(low[1])}L{num(top[0])} {num(top[1])}Z"
    return path(d, fill="none", stroke=INK, stroke_width=1, class_="dg-ink")


def hanger(at: Flat) -> tuple[str, tuple[float, float, float, float]]:
    """A rod from above with its clevis round the pipe; and what it covers."""
    x, y = at
    sign = element("circle", "", cx=x, cy=y, r=4, fill="none", stroke=INK, stroke_width=1.1, class_="dg-ink")
    sign += line((x, y - 4), (x, y - 17), 1.1) + line((x - 5, y - 17), (x + 5, y - 17), 1.6)
    return sign, (x - 5, y - 18, 10, 22)


def clamp(at: Flat) -> tuple[str, tuple[float, float, float, float]]:
    """What holds a riser: two ears at the pipe; and what it covers."""
    x, y = at
    ears = line((x - 12, y), (x + 12, y), 1.6) + line((x - 12, y), (x - 12, y + 5), 1.1)
    return ears + line((x + 12, y), (x + 12, y + 5), 1.1), (x - 12, y - 1, 24, 6)


def covered(box: tuple[float, float, float, float], of: str) -> Box:
    """The box of a symbol."""
    return Box(*box, "symbol", of)
