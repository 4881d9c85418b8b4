"""The shipped library: ready specs and assemblies, written in the hookup language and parsed when first asked for."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from ..model.declared import Spec
from ..model.finding import Findings
from ..source import tree
from ..source.parser import parse_text
from .read_spec import read_spec

SPEC_NAMES = ("copper-soldered", "stainless-threaded", "steel-grooved", "steel-threaded", "steel-welded")


@cache
def shipped_tree(name: str) -> tree.Tree:
    """The parsed library file `name`.hookup. A library file with a mistake is our bug, so it raises."""
    text = (files(__package__) / "library" / f"{name}.hookup").read_text(encoding="utf-8")
    parsed, findings = parse_text(text, library_name(name))
    if findings:
        raise ValueError(f"the shipped library does not parse: {findings[0]}")
    return parsed


def library_name(name: str) -> str:
    """How places in the shipped library are written in findings and origins."""
    return f"library/{name}.hookup"


@cache
def shipped_spec(name: str) -> Spec | None:
    """The ready spec of that name."""
    if name not in SPEC_NAMES:
        return None
    findings = Findings()
    found = None
    for node in shipped_tree(name).statements:
        if isinstance(node, tree.Spec):
            found = read_spec(node, {}, findings)
    if findings.items or found is None:
        raise ValueError(f"the shipped spec {name} does not read: {findings.items}")
    return found


@cache
def shipped_assemblies() -> dict[str, tree.Assembly]:
    """The ready assemblies by name and by the other names they give themselves."""
    nodes = [node for node in shipped_tree("assemblies").statements if isinstance(node, tree.Assembly)]
    return {name: node for node in nodes for name in assembly_names(node)}


def assembly_names(node: tree.Assembly) -> list[str]:
    """The name of an assembly and the other names its header gives (`also called …`)."""
    names = [node.name.text]
    for phrase in node.details:
        if phrase.text.startswith("also called "):
            names.append(phrase.text.removeprefix("also called "))
    return names
