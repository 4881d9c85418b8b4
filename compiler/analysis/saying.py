"""How messages call components and the ways between them."""

from __future__ import annotations

from collections.abc import Iterable

from ..model.hookup import Component, Hookup


def called(component: Component) -> str:
    """A component by its tag, else by its line in the file."""
    return component.tag or f"line {component.origin[0].line}"


def ticked(components: Iterable[Component]) -> str:
    """Components by their tags or lines, in the backticks of a message."""
    return ", ".join(f"`{called(component)}`" for component in components)


def way(hookup: Hookup, path: Iterable[str]) -> str:
    """A path in the words of a fitter: the tags on it, and what stands between in few words."""
    names = []
    for id in path:
        component = hookup.component(id)
        if component.tag or component.kind.ports in ("coil", "main"):
            names.append(f"`{component.tag or component.id}`")
        elif component.kind.group in ("valves", "specialties", "equipment"):
            names.append(component.label)
    return " - ".join(dict.fromkeys(names))
