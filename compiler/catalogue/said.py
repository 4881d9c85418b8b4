"""What the files' `lengths` and `weights` blocks say of a component."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TypeVar

from ..model.hookup import Component
from ..model.size import Size

T = TypeVar("T")

#: What files say, by kind (behind it, where it has two, the second size: `reducing tee x 1/2`), form of ends, size.
Said = Mapping[tuple[str, str, Size], T]

#: Fittings that come by themselves have names of their own; a file may call them by the last word of these.
_FAMILIES = ("dielectric union", "union", "reducer", "coupling")


def reducing(kind: str, second: Size, port: str = "") -> str:
    """How a kind with a second size is called in what files say; `port` where its ends lie differently far out."""
    return f"{kind} x {second.label} {port}".rstrip()


def sided(kind: str, port: str) -> str:
    """How the side port of a kind of one size is called in what files say."""
    return f"{kind} {port}".rstrip()


def said_of(component: Component, said: Said[T], port: str = "") -> T | None:
    """What the files say of a component, of its two sizes before what they say of its size alone; None: nothing."""
    second = component.branch_size if component.branch_size is not component.size else None
    forms = (*dict.fromkeys(end.form for end in component.ends.values()), "")
    for two in (True, False) if second is not None else (False,):
        for name in _names(component.kind.name):
            if second is not None and name == "tee" and not two:
                continue  # of a tee of one size alone
            ports = (port, "") if two and port else ("",)
            for kind in (reducing(name, second, p) if two and second is not None else name for p in ports):
                for form in forms:
                    found = said.get((kind, form, component.size))
                    if found is not None:
                        return found
    return None


def _names(kind: str) -> Iterator[str]:
    yield kind
    if kind == "reducing coupling":
        yield "reducer"
    whole = kind.partition(",")[0]
    yield from (family for family in _FAMILIES if whole.endswith(family) and family != kind)
