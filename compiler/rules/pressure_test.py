"""The pressure test of the pipe around one coil: how high, what is taken out first, and the steps."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..catalogue.flanges import flange_standard
from ..catalogue.limits import limit
from ..catalogue.pieces import standard_of
from ..catalogue.ratings import fitting_rating, joint_rating, pressure_rating
from ..model.hookup import Component, Hookup
from ..model.table import NOT_IN_TABLES, Unknown
from .servicing import Piece, Task, fill

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


def pressure_test(hookup: Hookup, piece: Piece) -> list[Task]:
    """Take out what does not bear it, fill with every vent open, raise the pressure, look, and let it down."""
    found = proof_of(hookup, piece)
    tasks: list[Task] = []
    if not piece.open_to and piece.coil is not None:
        tasks.append(_coil(piece.coil, found))
        for ability, why in _OUT:
            out = tuple(c for c in piece.section.components if c.kind.can(ability))
            if out:
                tasks.append(Task("take out or blank", out, why))
        gauges = tuple(c for c in piece.section.components if c.kind.can("reads pressure") and not _seals(c))
        if gauges:
            tasks.append(Task("take out", gauges, "a gauge that is not made for the test pressure"))
    filled = [task for task in fill(piece) if task.do not in ("open", "vent again", "stop here") or piece.open_to]
    tasks += filled
    if piece.open_to:
        return tasks
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
        tasks.append(Task("ask the makers of", found.unrated, "what they bear is not in the tables"))
    wait = f"{limit('test hold')} minutes before anyone comes near, then as long as the job asks"
    tasks.append(Task("hold and look", (), wait))
    tasks.append(Task("let down", piece.vents or piece.drains, "before anything is tightened"))
    tasks.append(Task("drain", piece.drains, "no test water stays in coil tubes where it can freeze"))
    return tasks


def _coil(coil: Component, found: Proof) -> Task:
    """What is done with the coil: it stays only where the file says that it bears the test."""
    if found.coil_stays:
        return Task("leave in", (coil,), f"its block says that it is rated {found.coil_psi:g} psi")
    if found.coil_psi is not None and found.psi is not None:
        return Task("blank off", (coil,), f"by its connections: it is rated {found.coil_psi:g} psi")
    return Task("blank off", (coil,), "by its connections, unless its maker allows the test through it")


def _seals(component: Component) -> bool:
    return component.kind.can("self-sealing")
