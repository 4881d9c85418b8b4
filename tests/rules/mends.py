"""Mends applied to a text as a reader of the finding would: a line pasted where it says, or words put in place."""

import re
from collections.abc import Callable

from coilwright.model.finding import Finding
from coilwright.model.mend import Mend

_LIKE = re.compile(r"add a line such as `(?P<new>[^`]+)`")
_INSTEAD = re.compile(
    r"(write it like |write |it is |known: (?=`[^`]+`\Z)|write a .* such as |write one such as )?`(?P<new>[^`]+)`"
)
_HERE = re.compile(r"(add|write) .*?`(?P<new>[^`]+)`")


def applied(text: str, mend: Mend) -> str:
    """The text with all changes of a mend made, as its reader would: line numbers are those before any change."""
    rows: list[tuple[int, str]] = list(enumerate(text.split("\n"), 1))

    def place(line: int) -> int:
        return next(n for n, (number, _) in enumerate(rows) if number == line)

    def block(line: int) -> tuple[int, int]:
        at = place(line)
        return at, end_of([row for _, row in rows], at, True)

    def put(new: list[str], line: int, where: str) -> None:
        start, end = block(line)
        indent = depth(rows[start][1]) + 4 * ("under" in where)
        at = {"above": start, "first under": start + 1}.get(where, end)
        rows[at:at] = [(0, " " * indent + row) for row in new]

    for edit in mend:
        start, end = block(edit.at.line)
        row = rows[start][1]
        if edit.do == "add":
            put(list(edit.new), edit.at.line, edit.where)
        elif edit.do == "write":
            old = edit.old or row.strip()
            assert old in row, (edit, row)
            rows[start] = (edit.at.line, row.replace(old, edit.new[0], 1))
        else:
            out = [row[depth(rows[start][1]) :] for _, row in rows[start:end]]
            del rows[start:end]
            if edit.do == "move":
                assert edit.to is not None
                put(out, edit.to.line, edit.where)
    return "\n".join(row for _, row in rows)


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
