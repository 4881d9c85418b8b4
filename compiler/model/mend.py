"""How a finding is mended, as changes of the file that can be carried out as they stand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from .span import Span

Do = Literal["add", "write", "take out", "move"]
#: `below` comes behind all that is indented under a line; `first under` and `last under` are indented under it.
Where = Literal["above", "below", "first under", "last under"]


@dataclass(frozen=True, slots=True)
class Edit:
    """One change. Lines are meant with what is indented under them; line numbers are those before any change.

    `add`: the lines `new` go `where` the line of `at` is; each is indented as that line is, and by its own spaces.
    `write`: `new` in place of the words `old` in the line of `at`, or in place of the whole line if `old` is empty.
    `take out`: the line of `at`. `move`: the line of `at` goes `where` the line of `to` is.
    """

    do: Do
    at: Span
    new: tuple[str, ...] = ()
    where: Where = "below"
    old: str = ""
    to: Span | None = None
    parent: bool = False  # something is indented under the line that it goes below

    def said(self) -> str:
        """The change in one sentence, with the lines and words to write in backticks."""
        line = f"line {self.at.line}"
        if self.do == "add":
            what = "the line" if len(self.new) == 1 else "the lines"
            return f"add {what} {', '.join(f'`{new}`' for new in self.new)} {self._beside(self.at)}"
        if self.do == "write":
            return f"write `{self.new[0]}` in place of {f'`{self.old}` in {line}' if self.old else line}"
        if self.do == "take out" or self.to is None:
            return f"take {line} out"
        return f"move {line} {self._beside(self.to)}"

    def _beside(self, span: Span) -> str:
        if "under" in self.where:
            return f"as the {self.where.split()[0]} line under line {span.line}"
        return f"{self.where} line {span.line}" + (" and what is indented under it" if self.parent else "")


Mend = tuple[Edit, ...]


def write(at: Span, new: str, old: str = "") -> Mend:
    """`new` in place of `old` in a line, or of the whole line."""
    return (Edit("write", at, (new,), old=old),)


def take_out(at: Span) -> Mend:
    """A line taken out with what is indented under it."""
    return (Edit("take out", at),)
