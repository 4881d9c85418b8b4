"""From one lineup to another: which valves change, in which order, and what stands where after every step.

Shut before open. Between the two, the pieces that will carry another liquid are shut in: there the shut valves are
proved tight and what stands in the piece is let out. Every state on the way is worked out as a lineup is.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ..model.hookup import Component, Hookup, Lineup
from .drainage import wanting
from .lineups import Lineups, Standing, contradictions, shut_in
from .network import Network
from .sections import Opening

ANOTHER = "what was left in it"


@dataclass(frozen=True, slots=True)
class Act:
    """One step: what to do, to which valves, and what is so afterwards. `mixes`: two liquids meet in this step."""

    do: str
    valves: tuple[Component, ...]
    then: str
    mixes: bool = False


@dataclass(slots=True)
class Changeover:
    """The steps from one lineup to another; `problem` is not empty if no order keeps the services apart."""

    before: Lineup
    after: Lineup
    acts: list[Act] = field(default_factory=list)
    problem: str = ""


def changeovers(hookup: Hookup, lineups: Lineups) -> list[Changeover]:
    """From every written lineup to every other one."""
    return [
        changeover(lineups, before, after) for before in hookup.lineups for after in hookup.lineups if before != after
    ]


def changeover(lineups: Lineups, before: Lineup, after: Lineup) -> Changeover:
    """The steps from one lineup to another, with every state on the way worked out."""
    made = Changeover(before, after)
    for lineup in (before, after):
        if contradictions(lineup):
            made.problem = f'lineup "{lineup.name}" has a valve both open and closed'
            return made
    net = lineups.network
    old, new = (shut_in(net, lineup) for lineup in (before, after))
    to_shut, to_open = (_in_order(net, ids) for ids in (new - old, old - new))
    contents = _contents(lineups.with_shut(old))
    shut = set(old)
    for valve in to_shut:
        shut.add(valve.id)
        _act(made, "shut", (valve,), contents, lineups.with_shut(frozenset(shut)))
    vents: list[Component] = []
    if to_open:
        vents = _empty(made, net, contents, lineups.with_shut(frozenset(shut)), lineups.with_shut(new))
    for valve in to_open:
        shut.remove(valve.id)
        _act(made, "open", (valve,), contents, lineups.with_shut(frozenset(shut)))
    if vents:
        made.acts.append(Act("vent", tuple(vents), "air is out; check the strength where it is glycol"))
    for lineup, standing in ((before, lineups.with_shut(old)), (after, lineups.with_shut(new))):
        mixed = [services for services in standing.carries.values() if len(services) > 1]
        if mixed and not made.problem:
            made.problem = f'lineup "{lineup.name}" itself mixes {" and ".join(mixed[0])}, so every order does'
    return made


def _in_order(net: Network, ids: frozenset[str]) -> list[Component]:
    """Valves in the order of the file: a supply line stands before its return."""
    return [c for c in net.hookup.components() if c.id in ids]


def _contents(standing: Standing) -> dict[int, tuple[str, ...]]:
    """The services whose liquid stands in each piece at the start; nobody knows what was left in a piece shut in."""
    return {piece: standing.carries.get(group, (ANOTHER,)) for piece, group in enumerate(standing.group)}


def _act(
    made: Changeover,
    do: str,
    valves: tuple[Component, ...],
    contents: dict[int, tuple[str, ...]],
    standing: Standing,
) -> None:
    """One valve set. Whatever is in pieces that now stand open to each other runs together."""
    together: dict[int, dict[str, None]] = {}
    for piece, group in enumerate(standing.group):
        fed = standing.carries.get(group, ())
        together.setdefault(group, {}).update(dict.fromkeys((*fed, *contents[piece])))
    meeting = [tuple(found) for found in together.values() if len(_liquids(standing, found)) > 1]
    for piece, group in enumerate(standing.group):
        contents[piece] = standing.carries.get(group) or contents[piece]
    said = "; ".join(f"{' meets '.join(found)}" for found in meeting) or "services apart"
    made.acts.append(Act(do, valves, said, bool(meeting)))
    if meeting and not made.problem:
        made.problem = f"in any order {' meets '.join(meeting[0])}"


def _liquids(standing: Standing, services: dict[str, None]) -> set[object]:
    """Services as liquids: two systems of one liquid may follow each other in a coil, but not stand open together."""
    known = standing.network.hookup.services
    return {known[s].mixture if s in known else s for s in services}


def _empty(
    made: Changeover, net: Network, contents: dict[int, tuple[str, ...]], standing: Standing, after: Standing
) -> list[Component]:
    """Prove and empty every piece that carries another liquid afterwards; returns the vents to fill them by."""
    changing: dict[int, list[int]] = {}
    for piece, group in enumerate(standing.group):
        wanted = after.carries.get(after.group[piece], ())
        if not wanted or standing.carries.get(group):
            continue
        if len(_liquids(standing, dict.fromkeys((*wanted, *contents[piece])))) > 1:
            changing.setdefault(group, []).append(piece)
    for pieces in changing.values():
        _empty_one(made, net, contents, pieces)
    return [v for pieces in changing.values() for p in pieces for v in _through(net.pieces[p].openings, "vent")]


def _empty_one(made: Changeover, net: Network, contents: dict[int, tuple[str, ...]], pieces: list[int]) -> None:
    sections = [net.pieces[piece] for piece in pieces]
    openings = [o for section in sections for o in section.openings]
    drains, vents = _through(openings, "drain"), _through(openings, "vent")
    held = " and ".join(dict.fromkeys(name for piece in pieces for name in contents[piece]))
    coils = [coil.tag for section in sections for coil in section.coils]
    where = " and ".join(dict.fromkeys(section.name().replace("`", "") for section in sections))
    if not drains:
        made.acts.append(Act("cannot drain", (), f"{held} stays in {where}: no drain in it", True))
        return
    made.acts.append(Act("open vent, then drain", (*vents, *drains), f"{held} runs out of {where}"))
    made.acts.append(
        Act("prove", drains, f"nothing more comes from the drain of {where}: the shut valves hold; if it runs on, stop")
    )
    if any(wanting(section, "low") for section in sections):
        made.acts.append(Act("flush", drains, f"{held} stays at low points of {where} that have no drain"))
    if coils:
        made.acts.append(
            Act("flush", (*vents, *drains), f"coil tubes of {', '.join(coils)} do not drain empty: blow out or flush")
        )
    made.acts.append(Act("shut", (*vents, *drains), f"{where} is empty and shut in"))
    for piece in pieces:
        contents[piece] = ()


def _through(openings: list[Opening], use: str) -> tuple[Component, ...]:
    """What is opened to drain or to vent, one of each; self-acting vents need no hand."""
    found = {o.through.id: o.through for o in openings if (o.drains if use == "drain" else o.vents and not o.drains)}
    return tuple(found.values())
