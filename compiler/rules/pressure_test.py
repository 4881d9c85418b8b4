"""The pressure test of the pipe around one coil: how high, what is taken out first, and the steps."""

from __future__ import annotations

from dataclasses import dataclass

from ..catalogue.flanges import flange_standard, pressure_rating
from ..catalogue.limits import limit
from ..model.hookup import Component, Hookup
from ..model.table import NOT_IN_TABLES, Unknown
from .servicing import Piece, Task, fill


@dataclass(frozen=True, slots=True)
class Proof:
    """`psi`: None if no design pressure is said. `weakest`: the flanged part with the lowest rating, and that rating;
    `unrated`: how many flanged ends are in no table. Threaded and welded parts are not looked up."""

    psi: float | None
    weakest: Component | None
    rating: int | Unknown
    unrated: int

    @property
    def too_high(self) -> bool:
        """Whether the weakest part is not good for it."""
        return self.psi is not None and isinstance(self.rating, int) and self.psi > self.rating


def proof_of(hookup: Hookup, piece: Piece) -> Proof:
    """The test pressure that the design pressure of the coil's service asks for, and what bears least."""
    assert piece.coil is not None
    design = hookup.services[piece.coil.service].pressure_psi
    rated: list[tuple[int, Component]] = []
    unrated = 0
    for component in (*piece.section.components, *piece.shutoffs):
        if component.kind.ports in ("coil", "main"):
            continue
        for end in component.ends.values():
            if end.form in ("flange", "lug", "wafer") and end.rating:
                bears = pressure_rating(flange_standard(end.rating, end.metal), end.rating, float(limit("test water")))
                if bears is None:
                    unrated += 1
                else:
                    rated.append((bears, component))
    least = min(rated, key=lambda found: found[0], default=None)
    psi = None if design is None else float(limit("test pressure")) * design
    return Proof(psi, least[1] if least else None, least[0] if least else NOT_IN_TABLES, unrated)


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
        coil = "by its connections, unless its maker allows the test through it"
        tasks.append(Task("blank off", (piece.coil,), coil))
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
        look = f"{said}; the weakest flanged part is good for {found.rating} psi"
        tasks.append(Task("raise slowly to", weakest, look))
    else:
        tasks.append(Task("raise slowly to", (), f"{said}; what the parts are good for is not in the tables"))
    if found.unrated:
        tasks.append(Task("ask", (), f"{found.unrated} flanged ends: what they bear is not in the tables"))
    wait = f"{limit('test hold')} minutes before anyone comes near, then as long as the job asks"
    tasks.append(Task("hold and look", (), wait))
    tasks.append(Task("let down", piece.vents or piece.drains, "before anything is tightened"))
    tasks.append(Task("drain", piece.drains, "no test water stays in coil tubes where it can freeze"))
    return tasks


def _seals(component: Component) -> bool:
    return component.kind.can("self-sealing")
