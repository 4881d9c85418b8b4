"""The pressure test of one piece between shutoffs: how high, what is taken out first, and the steps."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..catalogue.limits import limit
from ..model.hookup import Component, Hookup
from ..model.table import NOT_IN_TABLES, Unknown
from .bearing import looked_up
from .pieces import Piece, without_taps
from .sections import Section, Sections
from .servicing import Task, filled_at, let_in, lock_out, unrelieved
from .taking_out import comes_out


@dataclass(frozen=True, slots=True)
class Proof:
    """`psi`: None if no design pressure is said. `weakest`: the part with the lowest rating, and that rating;
    `unrated`: parts of which no table says what they bear. Pipe, nipples and welds are not looked up.
    `coil_psi`: what the file says that the coil bears; None if it does not. `solder_unsaid`: there are soldered joints
    of which the spec does not say the solder."""

    psi: float | None
    weakest: Component | None
    rating: int | Unknown
    unrated: tuple[Component, ...] = ()
    coil_psi: float | None = None
    solder_unsaid: bool = False

    @property
    def too_high(self) -> bool:
        """Whether the weakest part is not good for it."""
        return self.psi is not None and isinstance(self.rating, int) and self.psi > self.rating

    @property
    def coil_stays(self) -> bool:
        """Whether the coil is said to bear the test."""
        return self.psi is not None and self.coil_psi is not None and self.psi <= self.coil_psi


def proof_of(hookup: Hookup, piece: Piece) -> Proof:
    """The test pressure that the highest design pressure of the services in it asks for, and what bears least."""
    inside = (*piece.section.components, *piece.section.coils)
    services = dict.fromkeys(c.service for c in inside if c.service in hookup.services)
    said = [hookup.services[service].pressure_psi for service in services]
    designs = [design for design in said if design is not None]
    design = max(designs) if designs and len(designs) == len(said) else None
    rated: list[tuple[int, Component]] = []
    unrated: list[Component] = []
    solder_unsaid = False
    drains = (opening.through for opening in piece.section.openings)
    for component in dict.fromkeys((*piece.section.components, *piece.shutoffs, *drains)):
        if component.kind.ports in ("coil", "main"):
            continue
        line = hookup.lines.get(component.line)
        if line is None or not line.spec.solder:
            solder_unsaid |= any(end.form == "cup" for end in component.ends.values())
        for _, bears in looked_up(hookup, component, float(limit("test water"))):
            if bears is not None:
                rated.append((bears, component))
            elif component not in unrated:
                unrated.append(component)
    least = min(rated, key=lambda found: found[0], default=None)
    psi = None if design is None else float(limit("test pressure")) * design
    coil_psi = hookup.coils[piece.coil.id].rated_psi if piece.coil is not None else None
    return Proof(
        psi, least[1] if least else None, least[0] if least else NOT_IN_TABLES, tuple(unrated), coil_psi, solder_unsaid
    )


#: What is taken out or blanked before a test, by ability, and why.
_OUT = (
    ("relieves", "it would open"),
    ("vents by itself", "it is not made for the test pressure; a hand valve in its place lets the air out"),
    ("flexes", "unless its maker rates it for the test pressure"),
    ("pumps", "its seal, unless its maker allows it"),
    ("controls", "unless its maker allows it; open it fully if it stays"),
)


def pressure_test(hookup: Hookup, sections: Sections, piece: Piece) -> list[Task]:
    """Ask what must be known; shut it in, let the pressure out and prove it, as for a lockout; only then open joints to
    take out what does not bear the test; fill with every vent open, raise the pressure, look, and let it down.

    Where nothing can prove that no pressure is left and joints must be opened, it ends there. A coil that is blanked
    off has a jumper in its place, so that its two legs stay one piece.
    """
    if piece.open_to:
        return lock_out(piece)
    psi = proof_of(hookup, piece).psi
    if psi is None:
        return [Task("cannot tell", (), "the service says no design pressure", True)]
    blanked = tuple(coil for coil in piece.section.coils if not _bears(hookup, coil, psi))
    out, made_ready = _made_ready(hookup, sections, piece, blanked, psi)
    under_test = without_taps(hookup, sections, piece, blanked) if blanked else piece
    under_test = replace(under_test, section=_without(under_test.section, out))
    proof = proof_of(hookup, under_test)
    tasks = _asked(proof)
    if proof.too_high:
        return tasks
    tasks += lock_out(piece)
    if tasks[-1].bad and (blanked or out):
        return [
            *tasks,
            Task("stop here", (), "joints must be opened for the test: put a drain or a vent in first", True),
        ]
    tasks += [*made_ready, *_filled(under_test)]
    pump = _pump(under_test, blanked)
    tasks.append(pump)
    if not pump.bad:
        tasks += _tested(under_test, proof)
    tasks += _emptied(under_test, blanked)
    if piece.cocks:
        tasks.append(Task("open cock", piece.cocks))
    if blanked or out:
        tasks.append(Task("put back", (*blanked, *out), "once it is empty: what stood in for them comes out"))
    tasks.append(Task("then", piece.shutoffs, "they stay locked until it is filled: see draining and filling"))
    return tasks


def _tested(piece: Piece, proof: Proof) -> list[Task]:
    """The pressure raised, held and let down."""
    wait = f"{limit('test hold')} minutes before anyone comes near, then as long as the job asks"
    falls = "if it falls and nothing is wet outside, a shutoff passes"
    return [_raised(proof), Task("hold and look", (), f"{wait}; {falls}"), *_let_down(piece)]


def _without(section: Section, out: list[Component]) -> Section:
    """A section while something is out of it."""
    return replace(section, components=[c for c in section.components if c not in out])


def _asked(proof: Proof) -> list[Task]:
    """What must be known before anything is touched: none of it can wait until the pressure rises."""
    tasks: list[Task] = []
    if proof.too_high and proof.weakest is not None:
        look = f"good for {proof.rating} psi, less than {proof.psi:g} psi, {_times_design()}: no test with it in"
        tasks.append(Task("stop here", (proof.weakest,), look, True))
    if proof.solder_unsaid:
        tasks.append(Task("cannot tell", (), "what soldered joints bear: say it in the spec, such as `solder 95-5`"))
    if proof.unrated:
        look = f"whether they bear {proof.psi:g} psi: it is not in the tables"
        tasks.append(Task("ask the makers of", proof.unrated, look, by_kind=True))
    return tasks


def _filled(piece: Piece) -> list[Task]:
    """Water into what is tested, and the pump where it went in. A shutoff that lets it in has its lock off for as
    long."""
    tasks: list[Task] = []
    by_main = [entry.at for entry in filled_at(piece)[0] if entry.at in piece.shutoffs]
    for task in let_in(piece):
        if task.do == "air stays":
            task = replace(task, look=f"{task.look}: a vent must be put in there")
        elif task.do == "cannot fill":
            task = replace(task, look=f"{task.look}; as it stands it is not tested")
        elif task.do == "fill slowly at" and task.things[0] in by_main:
            task = replace(task, look=f"{task.look}, its lock off for this alone")
        if task.do != "open vent":  # they are open since the pressure was let out
            tasks.append(task)
    if by_main:
        tasks.append(Task("shut", tuple(by_main), "tight, and locked again, before the pressure is raised"))
    return tasks


def _pump(piece: Piece, blanked: tuple[Component, ...]) -> Task:
    """Where the test pump goes: where the water went in, else on what opens, else on the jumper past a coil."""
    went_in = tuple(entry.at for entry in filled_at(piece)[0] if entry.at not in piece.shutoffs)
    pumped = went_in or piece.drains[-1:] or piece.vents[-1:]
    if not pumped and not blanked:
        return Task("cannot test", (), "nothing opens in it that a test pump goes on: put a drain in", True)
    several = ", all at once: a check valve bars the way between them" if len(pumped) > 1 else ""
    where = "and open it again" if pumped else "an opening made in the jumper"
    return Task("put the test pump on", pumped, f"{where}, with its gauge and its relief{several}")


def _let_down(piece: Piece) -> list[Task]:
    """By the vents, and by the drains of what no vent lets the pressure out of: beyond a check valve."""
    opened = piece.vents or piece.drains
    if not opened:
        return [Task("let down", (), "by the test pump, before anything is tightened")]
    if unrelieved(piece, opened):
        opened = (*piece.vents, *piece.drains)
    tasks = [Task("let down", opened, "before anything is tightened")]
    for part in unrelieved(piece, opened):
        look = f"pressure stays {part.between}, nothing lets it out: open no joint there"
        tasks.append(Task("still under pressure", tuple(part.coils), look, True))
    return tasks


def _raised(proof: Proof) -> Task:
    if proof.weakest is not None:
        bears = f"the weakest part in the tables, {proof.weakest.called}, is good for {proof.rating} psi"
    else:
        bears = "what the parts are good for is not in the tables"
    return Task(f"raise slowly to {proof.psi:g} psi", (), f"{_times_design()}; {bears}")


def _times_design() -> str:
    return f"{float(limit('test pressure')):g} x design"


def _made_ready(
    hookup: Hookup, sections: Sections, piece: Piece, blanked: tuple[Component, ...], psi: float | None
) -> tuple[list[Component], list[Task]]:
    """What is taken out, and the steps: coils, then what the test would harm or open, as far as it comes out."""
    tasks: list[Task] = []
    for coil in piece.section.coils:
        tasks += _coil(hookup, coil, coil in blanked, psi)
    taken: list[Component] = []
    for ability, why in _OUT:
        able = [c for c in piece.section.components if c.kind.can(ability)]
        loose = [c for c in able if comes_out(hookup, sections, c)]
        ends = tuple(c for c in loose if c.kind.ports == "end")
        inline = tuple(c for c in loose if c.kind.ports != "end")
        fixed = tuple(c for c in able if c not in loose)
        taken += loose
        if ends:
            tasks.append(Task("take out or blank", ends, why))
        three = tuple(c for c in inline if c.kind.ports == "three-way")
        for some, stand_in in ((inline, "a spool piece"), (three, "a spool piece with three ends")):
            standing = tuple(c for c in some if some is three or c not in three)
            if standing:
                tasks.append(Task("take out", standing, f"{stand_in} in its place, {why}"))
        if fixed and ability == "controls":
            tasks.append(Task("leave in", fixed, "no joint opens beside it: its maker must allow the test, open"))
        elif fixed:
            tasks.append(Task("cannot take out", fixed, f"no joint opens beside it, and it must come out: {why}", True))
    gauges = tuple(c for c in piece.section.components if c.kind.can("reads pressure") and not _seals(c))
    if gauges:
        tasks.append(Task("take out", gauges, "a gauge that is not made for the test pressure"))
    if piece.cocks:
        tasks.append(Task("shut cock", piece.cocks, "what is behind it is not made for the test pressure"))
    return [*taken, *gauges], tasks


def _emptied(piece: Piece, blanked: tuple[Component, ...]) -> list[Task]:
    """The test water let out again, and what stays of it."""
    where = "pipe or the jumper" if blanked else "pipe or coil tubes" if piece.section.coils else "it"
    if piece.drains:
        tasks = [Task("drain", piece.drains, f"vents open; no test water stays in {where} where it can freeze")]
    else:
        tasks = [Task("cannot drain", (), "no drain in it: test water stays", True)]
    return tasks + [Task("stays full", (), f"the low point {spot}", True) for spot in piece.trapped]


def _bears(hookup: Hookup, coil: Component, psi: float | None) -> bool:
    """Whether the file says that a coil bears the test."""
    rated = hookup.coils[coil.id].rated_psi
    return psi is not None and rated is not None and psi <= rated


def _coil(hookup: Hookup, coil: Component, blanked: bool, psi: float | None) -> list[Task]:
    """What is done with a coil: it stays only where the file says that it bears the test."""
    rated = hookup.coils[coil.id].rated_psi
    if not blanked:
        return [Task("leave in", (coil,), f"its block says that it is rated {rated:g} psi")]
    if rated is not None and psi is not None:
        look = f"by its connections: it is rated {rated:g} psi"
    else:
        look = "by its connections, unless its maker allows the test through it"
    jumper = "from blank to blank, good for the test pressure: supply and return fill, vent and drain as one piece"
    return [Task("blank off", (coil,), look), Task("put a jumper past", (coil,), jumper)]


def _seals(component: Component) -> bool:
    return component.kind.can("self-sealing")
