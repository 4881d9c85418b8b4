"""What the writer of a line that does not fit probably meant: a keyword misspelt or left out, a comma left out.

A mend counts only if the whole line fits with it, so that no second finding follows from a wrong guess.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from lark import Token

from ..model.nearest import nearest
from .expected import KEYWORDS
from .tables import States

#: Words with a part in the grammar, each a plain word wherever its part is not asked for.
PLAIN_ELSEWHERE = {*KEYWORDS, "DIRECTION"}
_KEYWORD_OF = {word: name for name, word in KEYWORDS.items()}
#: Misspelt keywords are looked for in this many words of a line.
_MOST_WORDS = 8


@dataclass(frozen=True, slots=True)
class Mend:
    """The token at `index` of a line is meant as one of `type`, or (`left_out`) such a one is missing before it."""

    index: int
    type: str
    left_out: bool


def behind(states: States, stack: Sequence[int], type: str) -> list[int] | None:
    """The parser's stack behind a token of this type, nothing being built; None where it does not fit."""
    found = states[stack[-1]].get(type)
    if found is None:
        return None
    stack = list(stack)
    while True:
        if isinstance(found, int):
            stack.append(found)
            return stack
        size, rule, _ = found
        if size:
            del stack[-size:]
        stack.append(states[stack[-1]][rule])
        found = states[stack[-1]].get(type)
        if found is None:
            return None


def _fit(states: States, stack: Sequence[int], types: Iterable[str]) -> bool:
    """Whether tokens of these types fit one behind the other."""
    for type in types:
        further = behind(states, stack, type)
        if further is None and type in PLAIN_ELSEWHERE:
            further = behind(states, stack, "WORD")
        if further is None:
            return False
        stack = further
    return True


def mend_at(
    states: States, stack: Sequence[int], wanted: Collection[str], tokens: Sequence[Token], index: int
) -> Mend | None:
    """A keyword misspelt at the token that does not fit; `stack` is the parser's there, `wanted` what would fit."""
    near = near_keyword(tokens[index], wanted)
    if near is not None and _fit(states, stack, [near, *_types(tokens[index + 1 :])]):
        return Mend(index, near, left_out=False)
    return None


def left_out_at(
    states: States, stack: Sequence[int], wanted: Collection[str], tokens: Sequence[Token], index: int
) -> Mend | None:
    """What is left out before the token that does not fit: a keyword, a tag, a comma."""
    missing = [name for name in wanted if name in KEYWORDS]
    if "TAG" in wanted and "WORD" not in wanted and type_of(tokens[index]) in (*KEYWORDS, "_COMMA"):
        missing.append("TAG")
    if "_COMMA" in wanted and tokens[index - 1] not in _KEYWORD_OF and near_keyword(tokens[index], wanted) is None:
        missing.append("_COMMA")
    for type in missing:
        if _fit(states, stack, [type, *_types(tokens[index:])]):
            return Mend(index, type, left_out=True)
    return None


def mend_before(states: States, start: Sequence[int], tokens: Sequence[Token], index: int) -> Mend | None:
    """A keyword misspelt before the token that does not fit; `start` is the parser's stack before the line."""
    types = _types(tokens)
    for at in range(index - 1, max(-1, index - 1 - _MOST_WORDS), -1):
        near = near_keyword(tokens[at], KEYWORDS)
        if near is not None and _fit(states, start, [*types[:at], near, *types[at + 1 :]]):
            return Mend(at, near, left_out=False)
    return None


def _types(tokens: Sequence[Token]) -> list[str]:
    """The types of tokens up to the end of their line."""
    return [*map(type_of, tokens), "_NL"]


def type_of(token: Token) -> str:
    """A token's type as it was before a keyword among them was taken for a plain word."""
    return _KEYWORD_OF.get(token, token.type)


def near_keyword(token: Token, wanted: Collection[str]) -> str | None:
    """The terminal of the keyword among `wanted` that a word is a slip of; None for a keyword, which is none."""
    if token.type != "WORD" or token in _KEYWORD_OF:
        return None
    near = nearest(token, [KEYWORDS[name] for name in wanted if name in KEYWORDS])
    return near.upper() if near is not None else None
