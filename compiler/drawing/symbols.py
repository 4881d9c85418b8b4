"""The symbols: which one a component gets, and how it is put onto the sheet."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files

from ..model.hookup import Component
from ..model.kind import ABILITIES
from .svg import INK, PAPER, element, num, path, plain

#: The size of letters in a symbol, pixels.
LETTERS = 9.0


@dataclass(frozen=True, slots=True)
class Symbol:
    """A shape around the point 0,0, the pipe along x, the flow from left to right. Lengths in pixels."""

    name: str
    words: tuple[str, ...]  # what a component must be; see the table
    left: float
    right: float
    up: float
    down: float
    body: str
    solid: str
    stroke: str
    letters: str
    source: str


@cache
def symbols() -> tuple[Symbol, ...]:
    """All symbols, in the order in which they are tried."""
    lines = files(__package__).joinpath("symbols.csv").read_text(encoding="utf-8").splitlines()
    return tuple(
        Symbol(
            row["name"],
            _words(row["when"]),
            float(row["left"]),
            float(row["right"]),
            float(row["up"]),
            float(row["down"]),
            row["body"],
            row["solid"],
            row["stroke"],
            row["letters"],
            row["source"],
        )
        for row in csv.DictReader(line for line in lines if not line.startswith("#"))
    )


def _words(when: str) -> tuple[str, ...]:
    """The conditions of a row; abilities may be of several words, so the longest that fits is taken."""
    found = []
    rest = when
    while rest:
        bare = rest.removeprefix("!")
        many = max((a for a in ABILITIES if bare == a or bare.startswith(a + " ")), key=len, default="")
        word = rest[: len(rest) - len(bare)] + (many or bare.split(" ")[0])
        found.append(word)
        rest = rest[len(word) :].lstrip()
    return tuple(found)


@cache
def named(name: str) -> Symbol:
    """A symbol by its name. Raises StopIteration for one that is not there: a fault of ours."""
    return next(symbol for symbol in symbols() if symbol.name == name)


def symbol_of(component: Component) -> Symbol:
    """The symbol of a component."""
    if is_reducing(component):
        return named("eccentric reducer" if "eccentric" in component.kind.name else "reducer")
    kind = component.kind
    return _of_kind(kind.name, kind.ports, kind.abilities)


@lru_cache(maxsize=4096)
def _of_kind(name: str, ports: str, abilities: frozenset[str]) -> Symbol:
    def holds(word: str) -> bool:
        if word.startswith("!"):
            return not holds(word[1:])
        if word.startswith("kind:"):
            return word[5:] in name.split()
        return word in abilities if word in ABILITIES else ports == word

    for symbol in symbols():
        if all(map(holds, symbol.words)):
            return symbol
    return named("end" if ports == "end" else "fitting in line")


def is_reducing(component: Component) -> bool:
    """Whether it is there to change the size of its line."""
    if component.kind.ports != "inline" or component.kind.group not in ("fittings", "flanges"):
        return False
    return "reduc" in component.kind.name or "bushing" in component.kind.name or _two_sizes(component)


def _two_sizes(component: Component) -> bool:
    ends = component.ends
    return "in" in ends and "out" in ends and ends["in"].size is not ends["out"].size


def turned_over(component: Component) -> bool:
    """Whether an eccentric reducer has its level side at the bottom; symbols have it on top."""
    return "flat on bottom" in component.remarks


def widens(component: Component) -> bool:
    """Whether a reducer stands with its small end upstream."""
    ends = component.ends
    return is_reducing(component) and "in" in ends and "out" in ends and ends["in"].size < ends["out"].size


@dataclass(frozen=True, slots=True)
class Turn:
    """How a symbol is turned: `along` is where its pipe runs (`right`, `left`, `up`, `down`), `over` turns it over."""

    along: str = "right"
    over: bool = False

    def matrix(self) -> tuple[int, int, int, int]:
        """a b c d of SVG's matrix(a b c d e f)."""
        return _matrix(self.along, self.over)

    def reach(self, symbol: Symbol) -> tuple[float, float, float, float]:
        """How far the turned symbol reaches: left, right, up, down."""
        return _reach(self.along, self.over, symbol.left, symbol.right, symbol.up, symbol.down)


@cache
def _matrix(along: str, over: bool) -> tuple[int, int, int, int]:
    y = -1 if over else 1
    return {"right": (1, 0, 0, y), "left": (-1, 0, 0, y), "up": (0, -1, y, 0), "down": (0, 1, y, 0)}[along]


@cache
def _reach(
    along: str, over: bool, left: float, right: float, up: float, down: float
) -> tuple[float, float, float, float]:
    a, b, c, d = _matrix(along, over)
    xs = [a * x + c * y for x in (-left, right) for y in (-up, down)]
    ys = [b * x + d * y for x in (-left, right) for y in (-up, down)]
    return -min(xs), max(xs), -min(ys), max(ys)


def outline(symbol: Symbol, matrix: str, shut: bool) -> str:
    """The shape of a symbol without its letters, placed and turned by the six figures of an SVG matrix."""
    inside = ""
    if symbol.body:
        inside += path(symbol.body, class_="dg-ink-fill" if shut else "dg-paper", fill=INK if shut else PAPER)
    if symbol.stroke:
        inside += path(symbol.stroke, fill="none")
    if symbol.solid:
        inside += path(symbol.solid, class_="dg-ink-fill", fill=INK)
    return element(
        "g",
        inside,
        transform=f"matrix({matrix})",
        class_="dg-ink",
        stroke=INK,
        stroke_width=1.2,
        stroke_linejoin="round",
    )


def drawn(symbol: Symbol, x: float, y: float, turn: Turn, *, shut: bool = False, at: str = "", about: str = "") -> str:
    """A symbol on the sheet, its pipe through `x`, `y`. `at`: the places of the file that it comes from; `about`: what
    it is, as a tooltip."""
    a, b, c, d = turn.matrix()
    shape = outline(symbol, f"{a} {b} {c} {d} {num(x)} {num(y)}", shut)
    if symbol.letters:
        middle = (symbol.right - symbol.left) / 2
        shape += element(
            "text",
            plain(symbol.letters),
            x=x + a * middle,
            y=y + b * middle + 3.2,
            font_size=LETTERS,
            text_anchor="middle",
            class_="dg-ink-fill",
            fill=INK,
        )
    tip = element("title", plain(about)) if about else ""
    return element("g", tip + shape, class_="dg-symbol", data_at=at)
