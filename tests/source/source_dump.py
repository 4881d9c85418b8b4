"""A syntax tree as text, one line a node, for the corpus: everything but the places."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from coilwright.source.tree import Atom, Comment, Leg, Node, Phrase, Point, Tree

_FRAMES = {"word": "{}", "tag": "<{}>", "size": "[{}]", "number": "#{}", "quantity": "({})", "string": '"{}"'}
_APART = ("span", "before", "trailing", "block")


def dump(tree: Tree) -> str:
    """The whole tree, comments and blank lines too."""
    lines = [line for node in tree.statements for line in _node(node, "")]
    return "\n".join([*lines, *_remarks(tree.after, "")])


def _node(node: Node, indent: str) -> list[str]:
    said = [(f.name, getattr(node, f.name)) for f in fields(node) if f.name not in _APART]
    words = "".join(f" {name}={_value(value)}" for name, value in said if value not in (None, "", ()))
    trailing = f"  {node.trailing.text}" if node.trailing else ""
    block = [line for child in getattr(node, "block", ()) for line in _node(child, indent + "  ")]
    return [*_remarks(node.before, indent), f"{indent}{type(node).__name__}{words}{trailing}", *block]


def _remarks(remarks: tuple[Comment | None, ...], indent: str) -> list[str]:
    return [f"{indent}{'(blank)' if remark is None else remark.text}" for remark in remarks]


def _value(value: Any) -> str:
    if isinstance(value, Atom):
        return _FRAMES[value.kind].format(value.text)
    if isinstance(value, Phrase):
        return " ".join(_value(atom) for atom in value.atoms)
    if isinstance(value, Point):
        words = ["main"] if value.is_main else []
        on = ["on", _value(value.service)] if value.service else []
        return " ".join([*words, _value(value.tag), *([_value(value.port)] if value.port else []), *on])
    if isinstance(value, Leg):
        about = " about" if value.about else ""
        return _value(value.direction) + about + (f" {_value(value.length)}" if value.length else "")
    if isinstance(value, tuple):
        return ", ".join(_value(one) for one in value)
    if isinstance(value, Node):
        return f"{{{' '.join(_node(value, ''))}}}"
    return str(value)
