"""From one lineup to another: which valves change, in which order, and what stands where after every step.

Shut before open. Between the two, the pieces that will carry another liquid are shut in: there the shut valves are
proved tight and what stands in the piece is let out. Then they are filled one after the other, their vents open, by
the valves that are opened next to what is full, from the supply on, each a crack; the returns are opened last. Every
state on the way is worked out as a lineup is.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ..model.hookup import Component, Hookup, Lineup
from .heights import Heights
from .lineups import Lineups, Standing, contradictions, shut_in
from .liquid_ways import inside
from .network import Network
from .openings import wanting
from .pieces import opened_in_order
from .section import Section
from .sections import Sections
from .servicing import UNLOCK, cooling, drive_open, opening, shutting

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


def changeovers(hookup: Hookup, sections: Sections, lineups: Lineups) -> list[Changeover]:
    """From every written lineup to every other one."""
    return [
        _Steps(hookup, sections, lineups, before, after).made
        for before in hookup.lineups
        for after in hookup.lineups
        if before != after
    ]


class _Steps:
    """The steps from one lineup to another, with every state on the way worked out."""

    def __init__(self, hookup: Hookup, sections: Sections, lineups: Lineups, before: Lineup, after: Lineup) -> None:
        self.hookup, self.sections, self.lineups = hookup, sections, lineups
        self.net = lineups.network
        self.made = Changeover(before, after)
        for lineup in (before, after):
            if contradictions(lineup):
                self.made.problem = f'lineup "{lineup.name}" has a valve both open and closed'
                return
        old, new = (shut_in(self.net, lineup) for lineup in (before, after))
        self.shut = set(old)
        self.contents = _contents(lineups.with_shut(old))
        self.empty: set[int] = set()  # pieces that are emptied and not yet filled again
        self._work(_in_order(self.net, new - old), _in_order(self.net, old - new), lineups.with_shut(new))
        for lineup, standing in ((before, lineups.with_shut(old)), (after, lineups.with_shut(new))):
            mixed = [services for services in standing.carries.values() if len(services) > 1]
            if mixed and not self.made.problem:
                self.made.problem = f'lineup "{lineup.name}" itself mixes {" and ".join(mixed[0])}, so every order does'

    @property
    def standing(self) -> Standing:
        """With the valves as they are by now."""
        return self.lineups.with_shut(frozenset(self.shut))

    def _work(self, to_shut: list[Component], to_open: list[Component], after: Standing) -> None:
        acts = self.made.acts
        pumps = self._beside(to_shut, "pumps") if to_shut else ()
        if pumps:
            acts.append(Act("stop the pump", pumps, "it must not run against shut valves"))
        for valve in to_shut:
            self.shut.add(valve.id)
            do, look = shutting(valve)
            if valve.closed and "locked" in valve.remarks:
                look = "and lock it shut again"  # it normally stands so
            self._act(do, valve, look)
        driven: tuple[Component, ...] = ()
        if to_open:
            changing = self._changing(after)
            pieces = [piece for some in changing for piece in some]
            driven = tuple(c for p in pieces for c in self.net.pieces[p].components if c.kind.can("controls"))
            held = "holds back what stands behind it"
            acts += [Act(task.do, task.things, task.look) for task in drive_open(driven, held)]
            for some in changing:
                self._empty_one(some)
        self._open(to_open)
        if driven:
            acts.append(Act("give back", driven, "to the controller"))
        if pumps:
            acts.append(Act("start the pump", pumps, "if it serves this lineup, once the valves on its way are open"))
        vents = self._vents(sorted(piece for some in self.emptied for piece in some)) if to_open else ()
        if vents:
            acts.append(Act("vent again", vents, "after it has flowed; check the strength where it is glycol"))

    def _beside(self, valves: list[Component], ability: str) -> tuple[Component, ...]:
        """What is able to do something in the pieces on the sides of some valves."""
        pieces = dict.fromkeys(p for valve in valves for p in self.net.pieces_of.get(valve.id, ()))
        found = (c for piece in pieces for c in self.net.pieces[piece].components if c.kind.can(ability))
        return tuple({c.id: c for c in found}.values())

    def _act(self, do: str, valve: Component, look: str) -> None:
        """One valve set. Whatever is in pieces that now stand open to each other runs together."""
        standing, contents = self.standing, self.contents
        together: dict[int, dict[str, None]] = {}
        for piece, group in enumerate(standing.group):
            fed = standing.carries.get(group, ())
            together.setdefault(group, {}).update(dict.fromkeys((*fed, *contents[piece])))
        meeting = [tuple(found) for found in together.values() if len(_liquids(standing, found)) > 1]
        for piece, group in enumerate(standing.group):
            contents[piece] = standing.carries.get(group) or contents[piece]
        said = "; ".join(f"{' meets '.join(found)}" for found in meeting) or "services apart"
        self.made.acts.append(Act(do, (valve,), f"{said}; {look}" if look else said, bool(meeting)))
        if meeting and not self.made.problem:
            self.made.problem = f"in any order {' meets '.join(meeting[0])}"

    # -- emptying ------------------------------------------------------------------------------------------------------

    def _changing(self, after: Standing) -> list[list[int]]:
        """The pieces that carry another liquid afterwards, those together that stand open to each other."""
        changing: dict[int, list[int]] = {}
        standing = self.standing
        for piece, group in enumerate(standing.group):
            wanted = after.carries.get(after.group[piece], ())
            if not wanted or standing.carries.get(group):
                continue
            if len(_liquids(standing, dict.fromkeys((*wanted, *self.contents[piece])))) > 1:
                changing.setdefault(group, []).append(piece)
        self.emptied = list(changing.values())
        return self.emptied

    def _empty_one(self, pieces: list[int]) -> None:
        acts, sections = self.made.acts, [self.net.pieces[piece] for piece in pieces]
        drains, vents = self._drains(pieces), self._vents(pieces)
        names = list(dict.fromkeys(name for piece in pieces for name in self.contents[piece]))
        held = " and ".join(names)
        coils = [coil.tag for section in sections for coil in section.coils]
        where = self._where(pieces)
        self.empty.update(pieces)
        if not drains:
            acts.append(Act("cannot drain", (), f"{held} stays in {where}: no drain in it", True))
            return
        cool = cooling(self._hottest(names, sections))
        if cool:
            acts.append(Act("let it cool", (), f"{where}: {cool}"))
        into = " into a container" if self._glycol(names) else ""
        acts.append(Act("open vent, then drain", (*vents, *drains), f"slowly; {held} runs out of {where}{into}"))
        look = f"nothing more comes from the drain of {where}: the shut valves hold; if it runs on, stop"
        acts.append(Act("prove", drains, look))
        if any(wanting(section, "low") for section in sections):
            acts.append(Act("flush", drains, f"{held} stays at low points of {where} that have no drain"))
        if coils:
            look = f"coil tubes of {', '.join(coils)} do not drain empty: blow out or flush"
            acts.append(Act("flush", (*vents, *drains), look))
        kept = "; its vents stay open to fill it" if vents else ""
        acts.append(Act("shut drain", drains, f"{where} is empty and shut in{kept}"))
        for piece in pieces:
            self.contents[piece] = ()

    def _hottest(self, names: list[str], sections: list[Section]) -> float | None:
        """The highest temperature of what stands in some pieces; of what nobody knows, that of any service in it."""
        known = [self.hookup.services[name] for name in names if name in self.hookup.services]
        if len(known) < len(names):
            known = list(self.hookup.services.values())
        return max((one.high_f for one in known if one.high_f is not None), default=None)

    def _glycol(self, names: list[str]) -> bool:
        """Whether glycol may run out; of what was left in a piece nobody knows."""
        services = self.hookup.services
        known = [services[name] for name in names if name in services]
        some = known if len(known) == len(names) else list(services.values())
        return any("glycol" in service.fluid for service in some)

    def _where(self, pieces: list[int]) -> str:
        names = (self.net.pieces[piece].name().replace("`", "") for piece in pieces)
        return " and ".join(dict.fromkeys(names))

    def _drains(self, pieces: list[int]) -> tuple[Component, ...]:
        openings = [o for piece in pieces for o in self.net.pieces[piece].openings if o.drains]
        return tuple({o.through.id: o.through for o in openings}.values())

    def _vents(self, pieces: list[int]) -> tuple[Component, ...]:
        """The highest first; self-acting vents need no hand."""
        heights = self.sections.once(Heights)
        openings = [o for piece in pieces for o in self.net.pieces[piece].openings if o.vents and not o.drains]
        by_hand = [o for o in openings if not o.through.kind.can("vents by itself")]
        ordered = sorted(by_hand, key=lambda o: heights.rank(o.pool))[::-1]
        return tuple({o.through.id: o.through for o in ordered}.values())

    # -- filling and opening -------------------------------------------------------------------------------------------

    def _open(self, to_open: list[Component]) -> None:
        """First the valves by which an empty piece is filled from a full one beside it, then the rest: returns last."""
        left = list(opened_in_order(self.hookup, self.sections, to_open))
        cracked: list[Component] = []
        while (valve := self._next(left)) is not None:
            left.remove(valve)
            fills = [p for p in self._other_side(valve) if p in self.empty]
            self.shut.remove(valve.id)
            if fills:
                cracked.append(valve)
                self._fill(valve, fills)
            else:
                self._act(*self._words(valve))
        for valve in cracked:
            self.made.acts.append(Act("open fully", (valve,), "what it fills is full"))
        for valve in left:
            self.shut.remove(valve.id)
            self._act(*self._words(valve))

    @staticmethod
    def _words(valve: Component) -> tuple[str, Component, str]:
        do, look = opening(valve)
        return do, valve, look

    def _next(self, left: list[Component]) -> Component | None:
        """A valve between what is fed and what is not, from a supply main if there is one."""
        standing = self.standing
        best: Component | None = None
        for valve in left:
            groups = {standing.group[piece] for piece in self.net.pieces_of.get(valve.id, ())}
            fed = [group for group in groups if standing.carries.get(group)]
            if len(groups) != 2 or len(fed) != 1:
                continue
            if any(self._supplies(main) for main in self._mains(standing, fed[0])):
                return valve
            best = best or valve
        return best

    def _mains(self, standing: Standing, group: int) -> list[Component]:
        return [main for piece, mains in self.net.mains.items() if standing.group[piece] == group for main in mains]

    def _supplies(self, main: Component) -> bool:
        return any(back == "in" for _, _, back, _ in self.sections.neighbours[main.id])

    def _other_side(self, valve: Component) -> list[int]:
        """The pieces that open to what is fed with a valve, and were not."""
        standing = self.standing
        dry = {standing.group[p] for p in self.net.pieces_of[valve.id] if not standing.carries.get(standing.group[p])}
        return [piece for piece, group in enumerate(standing.group) if group in dry]

    def _fill(self, valve: Component, pieces: list[int]) -> None:
        """A valve a crack open, until every vent of what it fills has run."""
        where = self._where(pieces)
        lock = f"; {UNLOCK}" if valve.closed and "locked" in valve.remarks else ""
        do = "unlock and crack open" if lock else "crack open"
        self._act(do, valve, f"slowly, to fill {where}{lock}")
        self.empty.difference_update(pieces)
        vents = self._vents(pieces)
        if not vents:
            self.made.acts.append(Act("cannot vent", (), f"no vent in {where} that is opened by hand: air may stay"))
        look = "when liquid comes without air"
        self.made.acts += [Act("shut vent", (vent,), look) for vent in reversed(vents)]
        for piece in pieces:
            liquid = inside(self.hookup, self.sections, self.net.pieces[piece])
            wet = liquid.reach([valve, *self._open_into(piece)])
            for part in liquid.parts(liquid.ids - wet):
                said = f"{part.what} {part.between} does not fill from here: a check valve bars the way"
                self.made.acts.append(Act("does not fill", tuple(part.coils), said))

    def _open_into(self, piece: int) -> list[Component]:
        """The open valves around a piece."""
        return [v for v, _ in self.net.pieces[piece].valves if v.id not in self.shut and not v.role]


def _in_order(net: Network, ids: frozenset[str]) -> list[Component]:
    """Valves in the order of the file: a supply line stands before its return."""
    return [c for c in net.hookup.components() if c.id in ids]


def _contents(standing: Standing) -> dict[int, tuple[str, ...]]:
    """The services whose liquid stands in each piece at the start; nobody knows what was left in a piece shut in."""
    return {piece: standing.carries.get(group, (ANOTHER,)) for piece, group in enumerate(standing.group)}


def _liquids(standing: Standing, services: dict[str, None]) -> set[object]:
    """Services as liquids: two systems of one liquid may follow each other in a coil, but not stand open together."""
    known = standing.network.hookup.services
    return {known[s].mixture if s in known else s for s in services}
