"""Mends applied to a text as a reader of the finding would: a line pasted where it says, or words put in place."""

import re
from collections.abc import Callable, Iterable

from coilwright.model.finding import Finding

_ADD = r"add the line `(?P<new>[^`]+)` "
_BESIDE = re.compile(_ADD + r"(?P<side>above|below) line (?P<line>\d+)(?P<block> and what is indented under it)?")
_IN_BLOCK = re.compile(_ADD + r"(?P<place>at the end of|on top of) `(?P<line>[^`]+)`")
_IN_LINEUP = re.compile(_ADD + "to this lineup")
_LIKE = re.compile(r"add a line such as `(?P<new>[^`]+)`")
_FOR = re.compile(r"write `(?P<new>[^`]+)` in place of `?(?P<old>[\w ]+)`?")
_BEHIND = re.compile(r"add `(?P<new>[^`]+)` behind `(?P<old>[^`]+)`")
_INSTEAD = re.compile(
    r"(write it like |write |it is |known: (?=`[^`]+`\Z)|write a .* such as |write one such as )?`(?P<new>[^`]+)`"
)
_HERE = re.compile(r"(add|write) .*?`(?P<new>[^`]+)`")


def pasted(text: str, finding: Finding) -> str | None:
    """The text with what the help proposes where the help says; None if it names no line and no words to replace."""
    rows = text.split("\n")
    at = finding.span.line - 1
    if said := _BESIDE.match(finding.help):
        near = int(said["line"]) - 1
        return _with(rows, near if said["side"] == "above" else end_of(rows, near, said["block"]), near, 0, said["new"])
    if said := _IN_BLOCK.match(finding.help):
        near = next(n for n, row in enumerate(rows) if f"{row.strip()},".startswith(said["line"] + ","))
        return _with(rows, near + 1 if said["place"] == "on top of" else end_of(rows, near, True), near, 4, said["new"])
    if said := _IN_LINEUP.match(finding.help):
        near = max(n for n in range(at + 1) if rows[n].strip().startswith("lineup"))
        return _with(rows, end_of(rows, near, True), near, 4, said["new"])
    if said := _FOR.match(finding.help):
        return _row(rows, at, lambda row: row.replace(said["old"].strip(), said["new"], 1))
    if said := _BEHIND.match(finding.help):
        return _row(rows, at, lambda row: row.replace(said["old"], said["old"] + said["new"], 1))
    return None


def put_in_place(text: str, finding: Finding) -> str | None:
    """The text with the words of a reader's help in place of the underlined ones, or behind them where none are."""
    rows = text.split("\n")
    at, span = finding.span.line - 1, finding.span
    if said := _LIKE.match(finding.help):
        if said["new"].startswith("unit "):
            return f"{text}\n{said['new']}\n"
        return _with(rows, at + 1, at, 4, said["new"])
    empty = span.column == span.end_column
    if (said := (_HERE if empty else _INSTEAD).match(finding.help)) and "…" not in said["new"]:
        new = said["new"]
        if empty and new.startswith(rows[at].strip() + " "):
            return _row(rows, at, lambda row: row.replace(row.strip(), new))
        left = rows[at][: span.column - 1]
        gap = "," * ("a piece such as" in finding.help)
        gap += " " if empty and not new.startswith((",", " ")) and not left.endswith(" ") else ""
        return _row(rows, at, lambda row: left + gap + new + row[span.end_column - 1 :])
    return None


def by_hand(text: str, finding: Finding, edits: Iterable[tuple[str, str, str]]) -> str:
    """The text with some edits (`above`, `below` or `for`, a row's text, the new text or rows parted by `; `).

    The row is the first of that text from the finding's line on, or else in the file; `>` sets a new row deeper.
    """
    for how, anchor, new in edits:
        rows = text.split("\n")
        same = [n for n, row in enumerate(rows) if row.strip() == anchor]
        at = next((n for n in same if n >= finding.span.line - 1), same[0])
        indent = " " * depth(rows[at])
        made = [indent + "    " * (len(row) - len(row.lstrip(">"))) + row.lstrip(">") for row in new.split("; ")]
        start = at + (how == "below")
        text = "\n".join([*rows[:start], *made, *rows[at + (how != "above") :]])
    return text


def depth(row: str) -> int:
    return len(row) - len(row.lstrip())


def end_of(rows: list[str], at: int, block: object) -> int:
    """Where to paste behind a row, and behind what is indented under it if `block`."""
    deep = depth(rows[at])
    at += 1
    while block and at < len(rows) and depth(rows[at]) > deep:
        at += 1
    return at


def _with(rows: list[str], at: int, near: int, deeper: int, new: str) -> str:
    return "\n".join([*rows[:at], " " * (depth(rows[near]) + deeper) + new, *rows[at:]])


def _row(rows: list[str], at: int, change: Callable[[str], str]) -> str:
    return "\n".join([*rows[:at], change(rows[at]), *rows[at + 1 :]])
