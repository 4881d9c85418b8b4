"""What only shows across the units of a file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ..model.finding import Finding, Note
from ..model.hookup import Hookup, with_number
from ..model.span import Span


def check_across(hookups: Sequence[Hookup]) -> Iterator[Finding]:
    """Tags that two units share: a tag of a typical that takes no number, or one tag in two different hookups.

    Units of one typical with a `*` in every tag cannot clash, since their numbers differ; they are not walked.
    """
    for hookup in hookups:
        if len(hookup.units) < 2:
            continue
        for component in hookup.components():
            if component.tag and "*" not in component.tag and component.kind.ports not in ("coil", "main"):
                message = f"tag `{component.tag}` is the same in all {len(hookup.units)} units of `{hookup.name}`"
                units = tuple(unit.tag for unit in hookup.units)
                help = f"put a `*` for the unit's number, such as `{_starred(component.tag)}`"
                yield Finding("tag-shared", "should", message, component.origin[0], help=help, units=units)
    if len({hookup.name for hookup in hookups}) > 1:
        yield from _clashes(hookups)


def _clashes(hookups: Sequence[Hookup]) -> Iterator[Finding]:
    taken: dict[str, tuple[str, Span]] = {}
    for hookup in hookups:
        for component in hookup.components():
            if not component.tag or component.kind.ports in ("coil", "main"):
                continue
            for unit in hookup.units:
                tag = with_number(component.tag, unit.number)
                name, span = taken.setdefault(tag, (unit.tag, component.origin[0]))
                if name != unit.tag and span != component.origin[0]:
                    message = f"tag `{tag}` is in unit `{name}` and in unit `{unit.tag}`"
                    notes = (Note("the other is here", span),)
                    help = "give one of the units another number, or one of the items another tag"
                    yield Finding("tag-shared", "should", message, component.origin[0], notes=notes, help=help)


def _starred(tag: str) -> str:
    """The tag with a star in place of its first digit: `BV-101` gives `BV-*01`."""
    at = next((n for n, c in enumerate(tag) if c.isdigit()), len(tag))
    return f"{tag[:at]}*{tag[at + 1 :]}"
