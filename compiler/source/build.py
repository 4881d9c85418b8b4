"""What the grammar's rules become: the nodes of `tree`. Runs inside the parser, so no second walk is needed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from lark import Token, Transformer

from ..model.span import Span
from .lines import Line, span_of
from .plain import plain_number
from .tree import (
    Assembly,
    Atom,
    AtomKind,
    Change,
    Coil,
    Comment,
    Endpoint,
    Fact,
    Item,
    KindDef,
    Leg,
    Lengths,
    Line as LineNode,
    Lineup,
    Move,
    Phrase,
    Point,
    Project,
    Service,
    Spec,
    Takeoff,
    Through,
    Typical,
    Unit,
    Use,
)

_KINDS: dict[str, AtomKind] = {
    "TAG": "tag",
    "SIZE": "size",
    "NUMBER": "number",
    "QUANTITY": "quantity",
    "STRING": "string",
}


class Build(Transformer[Token, Any]):
    """Holds the file being parsed; `begin` sets it."""

    def begin(self, file: str, text: str, lines: Sequence[Line]) -> None:
        """Start on a new file."""
        self._file = file
        self._rows = text.split("\n")
        self._lines = {line.number: line for line in lines}

    # -- words ------------------------------------------------------------------------------------------------------

    def _atom(self, token: Token) -> Atom:
        kind = _KINDS.get(token.type, "word")
        text = str(token)
        span = span_of(token, self._file)
        if kind in ("string", "quantity") and token.line is not None and token.end_line == token.line:
            # Words inside quotation marks and units keep their capitals.
            text = self._rows[span.line - 1][span.column - 1 : span.end_column - 1]
        if kind == "string":
            text = text[1:-1]
        elif kind == "size":
            text = plain_number(text).upper().replace(" ", "")
        return Atom(kind, text, span)

    def atom(self, children: list[Token]) -> Atom:
        return self._atom(children[0])

    move_atom = atom
    name = atom

    def phrase(self, children: list[Any]) -> Phrase:
        return Phrase(tuple(c if isinstance(c, Atom) else self._atom(c) for c in children))

    def details(self, children: list[Phrase]) -> tuple[Phrase, ...]:
        return tuple(children)

    def facts(self, children: list[Any]) -> tuple[Any, ...]:
        return tuple(c for c in children if c is not None)

    steps = parts = unit_body = facts

    # -- lines ------------------------------------------------------------------------------------------------------

    def _node(self, first: Token | Atom | Point) -> dict[str, Any]:
        """Span, comments and blank lines of the line that begins with `first`."""
        number = first.line if isinstance(first, Token) else first.span.line
        line = self._lines.get(number or 1)
        if line is None:
            return {"span": Span(self._file, number or 1, 1, number or 1, 1)}
        span = span_of(line.tokens[0], self._file).to(span_of(line.tokens[-1], self._file))
        return {"span": span, "before": line.before, "trailing": line.trailing}

    def fact(self, children: list[Any]) -> Fact:
        phrases = tuple(c for c in children if isinstance(c, Phrase))
        return Fact(phrases=phrases, block=_block(children), **self._node(phrases[0].atoms[0]))

    def project(self, children: list[Token]) -> Project:
        return Project(title=self._atom(children[1]), **self._node(children[0]))

    def use(self, children: list[Token]) -> Use:
        return Use(path=self._atom(children[1]), **self._node(children[0]))

    def service(self, children: list[Any]) -> Service:
        return Service(name=children[1], block=_block(children), **self._node(children[0]))

    def spec(self, children: list[Any]) -> Spec:
        return Spec(name=children[1], details=children[2], block=_block(children[3:]), **self._node(children[0]))

    def kind(self, children: list[Any]) -> KindDef:
        return KindDef(name=children[1], details=children[2], block=_block(children[3:]), **self._node(children[0]))

    def lengths(self, children: list[Any]) -> Lengths:
        return Lengths(name=children[2], details=children[3], block=_block(children[4:]), **self._node(children[0]))

    def assembly(self, children: list[Any]) -> Assembly:
        return Assembly(name=children[1], details=children[2], block=_block(children[3:]), **self._node(children[0]))

    def typical(self, children: list[Any]) -> Typical:
        return Typical(name=children[1], details=children[2], block=_block(children[3:]), **self._node(children[0]))

    def unit(self, children: list[Any]) -> Unit:
        of = children[3] if isinstance(children[2], Token) else None
        rest = children[4:] if of is not None else children[2:]
        return Unit(
            tag=self._atom(children[1]), of=of, details=rest[0], block=_block(rest[1:]), **self._node(children[0])
        )

    def takeoff(self, children: list[Any]) -> Takeoff:
        return Takeoff(block=_block(children), **self._node(children[0]))

    def coil(self, children: list[Any]) -> Coil:
        service = children[3] if isinstance(children[2], Token) else None
        rest = children[4:] if service is not None else children[2:]
        return Coil(
            tag=self._atom(children[1]),
            service=service,
            details=rest[0],
            block=_block(rest[1:]),
            **self._node(children[0]),
        )

    def lineup(self, children: list[Any]) -> Lineup:
        return Lineup(name=self._atom(children[1]), block=_block(children[2:]), **self._node(children[0]))

    # -- lines of pipe ----------------------------------------------------------------------------------------------

    def main(self, children: list[Token]) -> Point:
        tag = self._atom(children[1])
        return Point(True, tag, None, span_of(children[0], self._file).to(tag.span))

    def place(self, children: list[Any]) -> Point:
        tag = self._atom(children[0])
        port = children[1] if len(children) > 1 else None
        return Point(False, tag, port, tag.span.to(port.span) if port is not None else tag.span)

    port = atom

    def _line(self, children: list[Any], start: Point | None, end: Point | None, rest: list[Any]) -> LineNode:
        return LineNode(
            word=self._atom(children[0]),
            start=start,
            end=end,
            details=rest[0],
            block=_block(rest[1:]),
            **self._node(children[0]),
        )

    def supply(self, children: list[Any]) -> LineNode:
        return self._line(children, None, children[2], children[3:])

    def return_(self, children: list[Any]) -> LineNode:
        return self._line(children, children[2], None, children[3:])

    def other(self, children: list[Any]) -> LineNode:
        return self._line(children, children[2], children[4], children[5:])

    # -- steps ------------------------------------------------------------------------------------------------------

    def item(self, children: list[Any]) -> Item:
        first = [self._atom(children[0])]
        rest = children[1:]
        while rest and isinstance(rest[0], Atom):
            first.append(rest.pop(0))
        phrases = (Phrase(tuple(first)), *(c for c in rest if isinstance(c, Phrase)))
        return Item(phrases=phrases, block=_block(rest), **self._node(children[0]))

    def endpoint(self, children: list[Any]) -> Endpoint:
        return Endpoint(word=self._atom(children[0]), point=children[1], details=children[2], **self._node(children[0]))

    def through(self, children: list[Any]) -> Through:
        return Through(what=children[1], details=children[2], **self._node(children[0]))

    def length(self, children: list[Token]) -> tuple[Atom, bool]:
        return self._length(children)

    def _length(self, children: list[Token]) -> tuple[Atom, bool]:
        about = children[0].type == "ABOUT"
        atom = self._atom(children[1] if about else children[0])
        if isinstance(children[-1], Token) and children[-1].type == "WORD":  # a number with a unit nobody knows
            unit = self._atom(children[-1])
            atom = Atom("quantity", f"{atom.text} {unit.text}", atom.span.to(unit.span))
        return atom, about

    def leg(self, children: list[Any]) -> Leg:
        atom, about = children[1] if len(children) > 1 else (None, False)
        return Leg(self._atom(children[0]), atom, about)

    def move(self, children: list[Any]) -> Move:
        legs = tuple(c for c in children if isinstance(c, Leg))
        details = tuple(c for c in children if isinstance(c, Phrase))
        return Move(legs=legs, details=details, **self._node(legs[0].direction))

    def allowance(self, children: list[Any]) -> Move:
        details = tuple(c for c in children if isinstance(c, Phrase))
        atom, _ = self._length([c for c in children if isinstance(c, Token)])
        return Move(legs=(), details=details, length=atom, **self._node(children[0]))

    # -- changes ----------------------------------------------------------------------------------------------------

    def change_item(self, children: list[Phrase]) -> Item:
        return Item(phrases=tuple(children), **self._node(children[0].atoms[0]))

    def _change(
        self, children: list[Any], target: Token, item: Item | None = None, size: Token | None = None, where: Any = ""
    ) -> Change:
        return Change(
            verb=self._atom(children[0]),
            target=self._atom(target),
            where=where,
            item=item,
            size=None if size is None else self._atom(size),
            **self._node(children[0]),
        )

    def omit(self, children: list[Any]) -> Change:
        return self._change(children, children[1])

    def resize(self, children: list[Any]) -> Change:
        return self._change(children, children[1], size=children[3])

    def replace(self, children: list[Any]) -> Change:
        return self._change(children, children[1], item=children[3])

    def add(self, children: list[Any]) -> Change:
        return self._change(children, children[3], item=children[1], where=str(children[2]))

    def start(self, children: list[Any]) -> tuple[Any, ...]:
        return tuple(children)


def _block(children: Sequence[Any]) -> tuple[Any, ...]:
    return next((c for c in children if isinstance(c, tuple)), ())


__all__ = ["Build", "Comment"]
