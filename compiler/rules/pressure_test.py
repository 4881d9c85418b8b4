"""The pressure test of the pipe around one coil: how high, what is taken out first, and the steps."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from ..catalogue.flanges import flange_standard
from ..catalogue.limits import limit
from ..catalogue.pieces import standard_of
from ..catalogue.ratings import fitting_rating, joint_rating, pressure_rating
from ..model.hookup import Component, Hookup
from ..model.table import NOT_IN_TABLES, Unknown
from .sections import Sections
from .servicing import Piece, Task, fill, without_taps
from .taking_out import comes_out

_FLANGED = ("flange", "lug", "wafer")
_BRONZE_VALVES = "MSS SP-80"
_BODIED = ("male thread", "female thread", "cup")


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
    """The test pressure that the design pressure of the coil's service asks for, and what bears least."""
    assert piece.coil is not None
    design = hookup.services[piece.coil.service].pressure_psi
    rated: list[tuple[int, Component]] = []
    unrated: list[Component] = []
    solder_unsaid = False
    drains = (opening.through for opening in piece.section.openings)
    for component in dict.fromkeys((*piece.section.components, *piece.shutoffs, *drains)):
        if component.kind.ports in ("coil", "main"):
            continue
        line = hookup.lines.get(component.line)
        solder = line.spec.solder if line is not None else ""
        solder_unsaid |= not solder and any(end.form == "cup" for end in component.ends.values())
        for bears in _ratings(component, solder):
            if bears is not None:
                rated.append((bears, component))
            elif component not in unrated:
                unrated.append(component)
    least = min(rated, key=lambda found: found[0], default=None)
    psi = None if design is None else float(limit("test pressure")) * design
    coil_psi = hookup.coils[piece.coil.id].rated_psi
    return Proof(
        psi, least[1] if least else None, least[0] if least else NOT_IN_TABLES, tuple(unrated), coil_psi, solder_unsaid
    )


def _ratings(component: Component, solder: str) -> Iterator[int | None]:
    """What the flanges, the soldered joints (if the solder is said) and the body of a component bear, psi; None for
    what is in no table."""
    deg_f = float(limit("test water"))
    for end in component.ends.values():
        if end.form in _FLANGED and end.rating:
            yield pressure_rating(flange_standard(end.rating, end.metal), end.rating, deg_f, end.size)
        elif end.form == "cup" and solder:
            yield joint_rating(solder, end.size, deg_f)
    is_pipe = component.pipe is not None or component.kind.group == "pipe" or "nipple" in component.kind.name
    if is_pipe or not any(end.form in _BODIED for end in component.ends.values()):
        return
    if component.kind.group in ("fittings", "ends"):
        standard = standard_of(component.made_of, component.kind.name == "union")
        yield fitting_rating(standard, component.made_of, component.size, deg_f)
    elif component.kind.group != "flanges":
        classes = {end.rating for end in component.ends.values() if end.form in _BODIED and end.metal == "bronze"}
        known = classes and _BRONZE_VALVES in component.kind.standard.split(" / ")
        yield pressure_rating(_BRONZE_VALVES, min(classes), deg_f, component.size) if known else None


#: What is taken out or blanked before a test, by ability, and why.
_OUT = (
    ("relieves", "it would open"),
    ("vents by itself", "it is not made for the test pressure"),
    ("flexes", "unless its maker rates it for the test pressure"),
    ("pumps", "its seal, unless its maker allows it"),
    ("controls", "unless its maker allows it; open it fully if it stays"),
)


def pressure_test(hookup: Hookup, sections: Sections, piece: Piece) -> list[Task]:
    """Take out what does not bear it, fill with every vent open, raise the pressure, look, and let it down.

    A coil that is blanked off has a jumper in its place, so that its two legs stay one piece.
    """
    if piece.open_to:
        return fill(piece)
    psi = proof_of(hookup, piece).psi
    blanked = tuple(coil for coil in piece.section.coils if not _bears(hookup, coil, psi))
    out, tasks = _made_ready(hookup, sections, piece, blanked, psi)
    if blanked:
        piece = without_taps(hookup, sections, piece, blanked)
    for task in fill(piece):
        if task.do == "air stays":
            tasks.append(replace(task, look=f"{task.look}: a vent must be put in there"))
        elif task.do not in ("open", "vent again", "stop here"):
            tasks.append(task)
    if not piece.drains and piece.fed_by:
        tasks.append(Task("shut", piece.fed_by[:1], "tight, before the pressure is raised"))
    found = proof_of(hookup, piece)
    if found.psi is None:
        tasks.append(Task("cannot tell", (), "the service says no design pressure", True))
        return tasks
    weakest = (found.weakest,) if found.weakest is not None else ()
    said = f"{found.psi:g} psi, {float(limit('test pressure')):g} x design"
    if found.too_high:
        tasks.append(Task("stop here", weakest, f"good for {found.rating} psi, less than {said}: blank it off", True))
    elif weakest:
        look = f"{said}; the weakest part in the tables is good for {found.rating} psi"
        tasks.append(Task("raise slowly to", weakest, look))
    else:
        tasks.append(Task("raise slowly to", (), f"{said}; what the parts are good for is not in the tables"))
    if found.solder_unsaid:
        tasks.append(Task("cannot tell", (), "what soldered joints bear: say it in the spec, such as `solder 95-5`"))
    if found.unrated:
        tasks.append(Task("ask the makers of", found.unrated, "what they bear is not in the tables", by_kind=True))
    wait = f"{limit('test hold')} minutes before anyone comes near, then as long as the job asks"
    tasks.append(Task("hold and look", (), wait))
    tasks.append(Task("let down", piece.vents or piece.drains, "before anything is tightened"))
    tasks += _emptied(piece, blanked)
    if blanked or out:
        tasks.append(Task("put back", (*blanked, *out), "once it is empty: what stood in for them comes out"))
    return tasks


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
        if inline:
            tasks.append(Task("take out", inline, f"a spool piece in its place, {why}"))
        if fixed and ability == "controls":
            tasks.append(Task("leave in", fixed, "no joint opens beside it: its maker must allow the test"))
        elif fixed:
            tasks.append(Task("cannot take out", fixed, f"no joint opens beside it, and it must come out: {why}", True))
    gauges = tuple(c for c in piece.section.components if c.kind.can("reads pressure") and not _seals(c))
    if gauges:
        tasks.append(Task("take out", gauges, "a gauge that is not made for the test pressure"))
    return [*taken, *gauges], tasks


def _emptied(piece: Piece, blanked: tuple[Component, ...]) -> list[Task]:
    """The test water let out again, and what stays of it."""
    where = "the jumper" if blanked else "coil tubes"
    if piece.drains:
        tasks = [Task("drain", piece.drains, f"vents open; no test water stays in pipe or {where} where it can freeze")]
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
