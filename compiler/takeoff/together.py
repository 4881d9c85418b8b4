"""What several files come to as one job: their hookups with the units added up, their settings as one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from ..model.declared import OnHand, TakeoffSettings
from ..model.finding import Finding, Note
from ..model.hookup import Hookup, UnitRef
from ..model.span import Origin, Span


def each_unit_once(hookups: Iterable[Hookup]) -> list[Hookup]:
    """The hookups of several files, without the units that are not to be counted in the job.

    Those are: a unit that several files read from one place, save with the first of them; a typical that stands alone
    in one file, where another one builds units of it.
    """
    hookups = list(hookups)
    built = {hookup.span for hookup in hookups if any(unit.span != hookup.span for unit in hookup.units)}
    seen: set[Span] = set()
    made = []
    for hookup in hookups:
        units = [unit for unit in hookup.units if unit.span not in seen]
        units = [unit for unit in units if unit.span != hookup.span or hookup.span not in built]
        seen.update(unit.span for unit in units)
        if len(units) == len(hookup.units):
            made.append(hookup)
        elif units:
            made.append(replace(hookup, units=tuple(units)))
    return made


def added_up(hookups: Iterable[Hookup]) -> list[Hookup]:
    """One hookup for all that share a graph, with the units of all of them, in their order."""
    shared: dict[int, tuple[Hookup, list[UnitRef]]] = {}
    for hookup in hookups:
        shared.setdefault(id(hookup.graph), (hookup, []))[1].extend(hookup.units)
    return [
        hookup if len(hookup.units) == len(units) else replace(hookup, units=tuple(units))
        for hookup, units in shared.values()
    ]


def as_one(settings: Iterable[TakeoffSettings]) -> tuple[TakeoffSettings, list[Finding]]:
    """The settings of several files as those of a job.

    What two files read from one place, or say alike, counts once. Where they differ, the first one holds: finds
    `settings-differ` at the other.
    """
    made = TakeoffSettings()
    found: dict[Finding, None] = {}
    for one in settings:
        for name, origin in one.origin.items():
            field, key = _place(name)
            value = _get(one, field, key)
            if name not in made.origin:
                made.origin[name] = origin
                _put(made, field, key, value)
            elif _get(made, field, key) != value:
                found.setdefault(_differ(f"`{name}`", origin[0], made.origin[name][0]))
        if not made.on_hand:
            made.on_hand = one.on_hand
        elif one.on_hand and _lengths(one.on_hand) != _lengths(made.on_hand):
            here = {origin for length in made.on_hand for origin in length.origin}
            there = [span for length in one.on_hand for span in length.origin]
            other = next((span for span in there if span not in here), there[0])
            found.setdefault(_differ("what is on hand", other, made.on_hand[0].origin[0]))
    return made, list(found)


#: What `TakeoffSettings.origin` calls a setting: the field that holds it, or the field that holds those of its kind.
_ALONE = {"kerf": "kerf", "spools": "spools", "field fit": "over"}
_BY_NAME = {"stock of ": "stock", "waste of ": "waste", "spare ": "spares", "packs of ": "packs"}


def _place(name: str) -> tuple[str, str]:
    """The field of a setting, and its key there if the field is a dictionary."""
    if name in _ALONE:
        return _ALONE[name], ""
    return next((field, name.removeprefix(lead)) for lead, field in _BY_NAME.items() if name.startswith(lead))


def _get(settings: TakeoffSettings, field: str, key: str) -> Any:
    value = getattr(settings, field)
    return value[key] if key else value


def _put(settings: TakeoffSettings, field: str, key: str, value: Any) -> None:
    if key:
        getattr(settings, field)[key] = value
    else:
        setattr(settings, field, value)


def _lengths(yard: Sequence[OnHand]) -> list[OnHand]:
    nowhere: Origin = ()
    return [replace(length, origin=nowhere) for length in yard]


def _differ(name: str, here: Span, first: Span) -> Finding:
    return Finding(
        "settings-differ",
        "should",
        f"the files of the job differ in their takeoff settings: {name}",
        here,
        notes=(Note("the one that holds for the job is here", first),),
        help="say it once, in a file that the others `use`",
    )
