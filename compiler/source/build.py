"""What the grammar's rules become: the nodes of `tree`. Runs inside the parser, so no second walk is needed."""

# ruff: noqa: D102 - a method has the name of its rule in the grammar, which says what it stands for.

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from lark import Token, Transformer

from ..model.span import Span
from . import tree
from .lines import Line, span_of
from .plain import plain_number
from .tree import (
    Assembly,
    Atom,
    AtomKind,
    Cabinet,
    Change,
    Coil,
    Endpoint,
    Fact,
    Item,
    KindDef,
    Leg,
    Lengths,
    Lineup,
    Move,
    Phrase,
    Point,
    Project,
    Rules,
    Service,
    Spec,
    Takeoff,
    Through,
    Typical,
    Unit,
    Use,
    Weights,
)

_KINDS: dict[str, AtomKind] = {
    "TAG": "tag",
    "SIZE": "size",
    "NUMBER": "number",
    "QUANTITY": "quantity",
    "STRING": "string",
}


class Build(Transformer[Token, Any]):
    """Holds the file being parsed; `begin` sets it.

    A token without text is a hole that the parser put in to end a broken line: a phrase of it is left out, and so is
    every line whose number is in `broken`.
    """

    def begin(self, file: str, rows: Sequence[str], lines: Sequence[Line]) -> None:
        """Start on a new file, whose lines as written are `rows`."""
        self._file = file
        self._rows = rows
        self._lines = {line.number: line for line in lines}
        self.broken: set[int] = set()

    # -- words ------------------------------------------------------------------------------------------------------

    def _atom(self, token: Token) -> Atom:
        type, text = token.type, str(token)
        span = span_of(token, self._file)
        if type == "STRING" or type == "QUANTITY":
            # Words inside quotation marks and units keep their capitals.
            text = self._rows[span.line - 1][span.column - 1 : span.end_column - 1]
            if type == "STRING":
                text = text[1:-1]
        elif type == "SIZE":
            text = plain_number(text).upper().replace(" ", "")
        return Atom(_KINDS.get(type, "word"), text, span)

    def name(self, children: list[Token]) -> Atom:
        return self._atom(children[0])

    def phrase(self, children: list[Token]) -> Phrase:
        return Phrase(tuple([self._atom(token) for token in children]))

    def details(self, children: list[Phrase]) -> tuple[Phrase, ...]:
        return tuple([c for c in children if not _is_hole(c)])

    def facts(self, children: list[Any]) -> tuple[Any, ...]:
        """The lines of a block but for the broken ones."""
        return tuple([c for c in children if c.span.line not in self.broken] if self.broken else children)

    start = steps = parts = unit_body = facts

    # -- lines ------------------------------------------------------------------------------------------------------

    def _node(self, first: Token | Atom | Phrase) -> dict[str, Any]:
        """Span, comments and blank lines of the line that begins with `first`."""
        line = self._lines[(first.line or 1) if isinstance(first, Token) else first.span.line]
        last = line.tokens[-1]
        end = (last.column or 1) + len(last)
        span = Span(self._file, line.number, line.tokens[0].column or 1, line.number, end)
        return {"span": span, "before": line.before, "trailing": line.trailing}

    def fact(self, children: list[Any]) -> Fact:
        phrases, block = _phrases(children)
        return Fact(phrases=phrases, block=block, **self._node(phrases[0]))

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

    def weights(self, children: list[Any]) -> Weights:
        return Weights(name=children[2], details=children[3], block=_block(children[4:]), **self._node(children[0]))

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

    def rules(self, children: list[Any]) -> Rules:
        return Rules(block=_block(children), **self._node(children[0]))

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

    def cabinet(self, children: list[Any]) -> Cabinet:
        return Cabinet(details=(children[1], *children[2]), **self._node(children[0]))

    # -- lines of pipe ----------------------------------------------------------------------------------------------

    def main(self, children: list[Any]) -> Point:
        tag = self._atom(children[1])
        service = children[3] if len(children) > 2 else None
        span = span_of(children[0], self._file).to(service.span if service is not None else tag.span)
        return Point(True, tag, None, span, service)

    def place(self, children: list[Any]) -> Point:
        tag = self._atom(children[0])
        port = children[1] if len(children) > 1 else None
        return Point(False, tag, port, tag.span.to(port.span) if port is not None else tag.span)

    def _line(self, children: list[Any], start: Point | None, end: Point | None, rest: list[Any]) -> tree.Line:
        return tree.Line(
            word=self._atom(children[0]),
            start=start,
            end=end,
            details=rest[0],
            block=_block(rest[1:]),
            **self._node(children[0]),
        )

    def supply(self, children: list[Any]) -> tree.Line:
        return self._line(children, None, children[2], children[3:])

    def return_(self, children: list[Any]) -> tree.Line:
        return self._line(children, children[2], None, children[3:])

    def other(self, children: list[Any]) -> tree.Line:
        return self._line(children, children[2], children[4], children[5:])

    # -- steps ------------------------------------------------------------------------------------------------------

    def item(self, children: list[Any]) -> Item:
        phrases, block = _phrases(children)
        return Item(phrases=phrases, block=block, **self._node(phrases[0]))

    def endpoint(self, children: list[Any]) -> Endpoint:
        return Endpoint(word=self._atom(children[0]), point=children[1], details=children[2], **self._node(children[0]))

    def through(self, children: list[Any]) -> Through:
        return Through(what=children[1], details=children[2], **self._node(children[0]))

    def length(self, children: list[Token]) -> tuple[Atom, bool]:
        about = children[0].type == "ABOUT"
        return self._measured(children[about:]), about

    def _measured(self, tokens: list[Token]) -> Atom:
        atom = self._atom(tokens[0])
        if len(tokens) > 1:  # a number with a unit nobody knows
            unit = self._atom(tokens[1])
            return Atom("quantity", f"{atom.text} {unit.text}", atom.span.to(unit.span))
        return atom

    def leg(self, children: list[Any]) -> Leg:
        atom, about = children[1] if len(children) > 1 else (None, False)
        return Leg(self._atom(children[0]), atom, about)

    def move(self, children: list[Any]) -> Move:
        legs = tuple(c for c in children if isinstance(c, Leg))
        details = self.details([c for c in children if isinstance(c, Phrase)])
        return Move(legs=legs, details=details, **self._node(children[0].direction))

    def allowance(self, children: list[Any]) -> Move:
        return Move(legs=(), details=children[-1], length=self._measured(children[1:-1]), **self._node(children[0]))

    # -- changes ----------------------------------------------------------------------------------------------------

    def added(self, children: list[Any]) -> Item:
        """An item inside a line: the comments of the line are not its own."""
        phrases = (children[0], *children[1])
        return Item(phrases=phrases, span=phrases[0].span.to(phrases[-1].span))

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
        return self._change(children, children[1], item=self.added(children[3:]))

    def add(self, children: list[Any]) -> Change:
        return self._change(children, children[3], item=children[1], where=str(children[2]))


def _block(children: Sequence[Any]) -> tuple[Any, ...]:
    """The block of a line, which is the last that the grammar gives."""
    return children[-1] if children and isinstance(children[-1], tuple) else ()


def _phrases(children: Sequence[Any]) -> tuple[tuple[Phrase, ...], tuple[Any, ...]]:
    """The phrases of a line and its block."""
    return tuple([c for c in children if isinstance(c, Phrase) and not _is_hole(c)]), _block(children)


def _is_hole(phrase: Phrase) -> bool:
    span = phrase.atoms[0].span
    return span.column == span.end_column
