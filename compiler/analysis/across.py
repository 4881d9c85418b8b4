"""What only shows across the units of a file, or of all files of a job."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ..model.finding import Finding, Note
from ..model.hookup import Hookup, UnitRef, with_number
from ..model.span import Span


def check_across(hookups: Sequence[Hookup]) -> Iterator[Finding]:
    """Tags that two units share: a tag of a typical that takes no number, or one tag in two different hookups.

    Units of one typical with a `*` in every tag cannot clash, since their numbers differ; they are not walked.
    A typical built for both hands, or with changes, makes several hookups of one name.
    """
    units: dict[Span, int] = {}  # by the place of their typical
    for hookup in hookups:
        units[hookup.span] = units.get(hookup.span, 0) + len(hookup.units)
    fixed: dict[tuple[str, str, Span], list[str]] = {}
    for hookup in hookups:
        if units[hookup.span] < 2:
            continue
        for component in hookup.components():
            if component.tag and "*" not in component.tag and component.kind.ports not in ("coil", "main"):
                key = (hookup.name, component.tag, component.origin[0])
                fixed.setdefault(key, []).extend(unit.tag for unit in hookup.units)
    for (name, tag, span), tags in fixed.items():
        if len(tags) > 1:
            message = f"tag `{tag}` is the same in {len(tags)} units of `{name}`"
            help = f"put a `*` for the unit's number, such as `{_starred(tag)}`"
            yield Finding("tag-shared", "should", message, span, help=help, units=tuple(tags))
    if len(units) > 1:
        yield from _clashes(hookups)
    yield from _numbers(hookups)


def check_units(units: Iterable[tuple[str, Span]]) -> Iterator[Finding]:
    """Units of several files, each with its place, that have one tag. A unit read twice from one place is one."""
    first: dict[str, Span] = {}
    for tag, span in dict.fromkeys(units):
        if first.setdefault(tag, span) != span:
            yield Finding(
                "unit-in-two-files",
                "must",
                f"unit `{tag}` is in two files of the job, and counted twice",
                span,
                notes=(Note("the other is here", first[tag]),),
                help="take one of them out, or give it another tag",
                units=(tag,),
            )


def _numbers(hookups: Sequence[Hookup]) -> Iterator[Finding]:
    """Units of one typical with one number, in two files: within a file it does not come so far."""
    first: dict[tuple[Span, str], UnitRef] = {}
    for hookup in hookups:
        for unit in hookup.units:
            other = first.setdefault((hookup.span, unit.number), unit)
            if other.span != unit.span and other.tag != unit.tag:
                yield Finding(
                    "number-used-twice",
                    "must",
                    f"two units of `{hookup.name}` have the number {unit.number}",
                    unit.span,
                    notes=(Note("the other is here", other.span),),
                    help="give one of them another, such as `number 2`",
                    units=(unit.tag,),
                )


def _clashes(hookups: Sequence[Hookup]) -> Iterator[Finding]:
    """Tags that two different hookups share: within a file one finding for a pair of places; across files, where all of
    a floor may be numbered again, one for a pair of typicals."""
    taken: dict[str, tuple[str, Span, Span]] = {}  # unit, place of the component, place of the typical
    found: dict[tuple[Span, Span], list[tuple[str, Span, Span]]] = {}
    for hookup in hookups:
        for component in hookup.components():
            if not component.tag or component.kind.ports in ("coil", "main"):
                continue
            here = component.origin[0]
            for unit in hookup.units:
                tag = with_number(component.tag, unit.number)
                name, there, typical = taken.setdefault(tag, (unit.tag, here, hookup.span))
                if name != unit.tag and there != here:
                    pair = (here, there) if here.file == there.file else (hookup.span, typical)
                    message = f"tag `{tag}` is in unit `{name}` and in unit `{unit.tag}`"
                    found.setdefault(pair, []).append((message, here, there))
    for shared in found.values():
        message, here, there = shared[0]
        more = f"; shared in the same way: {len(shared) - 1} more" if len(shared) > 1 else ""
        notes = (Note("the other is here", there),)
        help = "give one of the units another number, or one of the items another tag"
        yield Finding("tag-shared", "should", message + more, here, notes=notes, help=help)


def _starred(tag: str) -> str:
    """The tag with a star in place of its first digit: `BV-101` gives `BV-*01`."""
    at = next((n for n, c in enumerate(tag) if c.isdigit()), len(tag))
    return f"{tag[:at]}*{tag[at + 1 :]}"
