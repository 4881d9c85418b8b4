"""What a file says of services, specs and coils, as texts by the name of the fact.

Spans, and so the order and the layout of the file, are left out; lengths are written one way, whatever the file's.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from fractions import Fraction
from typing import Any, TypeAlias

from ..model.quantity import format_feet_inches
from ..model.size import Size
from ..model.span import Span

Facts: TypeAlias = dict[str, str]

#: Fields that say where something stands in the file, or are worked out from others.
_NOT_MEANT = frozenset({"origin", "places", "span", "ordered_span", "_rows"})
#: Endings of fields' names, with the unit that their numbers are in.
_UNITS = {
    "_in": "in",
    "_psi": "psi",
    "_f": "degF",
    "_gal": "gal",
    "_gpm": "gpm",
    "_fps": "ft/s",
    "_lb": "lb",
    "_inwg": "inwg",
    "_lb_ft3": "lb/cu ft",
    "pitch": "in/ft",
}
_WORDS = {"only_burst": "only against bursting", "share": "share of glycol", "closed": "normally closed"}


def facts(thing: Any, leave: Iterable[str] = ()) -> Facts:
    """Every field of a dataclass as text; what the file does not say is not in it.

    Dataclasses within it give a fact each for their own fields.
    """
    found: Facts = {}
    for field in fields(thing):
        if field.name in _NOT_MEANT or field.name in leave:
            continue
        value, title = getattr(thing, field.name), name_of(field.name)
        if is_dataclass(value) and not isinstance(value, Size | type):
            found.update({f"{title}: {key}": text for key, text in facts(value).items()})
        elif isinstance(value, Mapping):
            for key, part in value.items():
                text = said(part, field.name)
                if text:
                    found[f"{title} {key}"] = text
        else:
            text = said(value, field.name)
            if text:
                found[title] = text
    return found


def name_of(field: str) -> str:
    """The name of a fact: that of the field without its unit, in words."""
    if field in _WORDS:
        return _WORDS[field]
    for ending in sorted(_UNITS, key=len, reverse=True):
        if ending.startswith("_") and field.endswith(ending):
            field = field.removesuffix(ending)
            break
    return field.replace("_", " ")


def said(value: Any, field: str = "") -> str:
    """A value in words, empty where the file is silent."""
    if value is None or value == "" or value == () or isinstance(value, Span):
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Fraction) and not field.endswith("pitch"):
        return length(value)
    if isinstance(value, int | float | Fraction):
        number = f"{float(value):.6g}"
        unit = next((u for end, u in sorted(_UNITS.items(), key=lambda e: -len(e[0])) if field.endswith(end)), "")
        return f"{number} {unit}".rstrip()
    if is_dataclass(value) and not isinstance(value, Size | type):
        return ", ".join(f"{key} {text}" for key, text in facts(value).items())
    if isinstance(value, tuple | list):
        return "; ".join(text for text in (said(part) for part in value) if text)
    return str(value)


def length(inches: Fraction) -> str:
    """A length in feet and inches, to the 64th of an inch: what differs by less is the same to a fitter."""
    return format_feet_inches(inches, 64)
