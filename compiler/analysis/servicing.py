"""Filling, draining, testing and locking out one coil: which valves, in which order, and what the graph says of it.

Each of the four is a lineup that the tool works out: the shutoffs around the coil's section are shut, its drains and
vents stand as the work needs them, and every other valve of the hookup is taken as open, which is the worst that can
be met. The result is then checked as any lineup is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..catalogue.limits import limit
from ..model.hookup import Component
from .liquid_ways import Entry, Part, entries
from .pieces import Piece


@dataclass(frozen=True, slots=True)
class Task:
    """One step: what is done, to what, and what to look for. `bad`: the hookup does not allow it as it should.
    `by_kind`: things without tag are wanted by their kind, not by their place."""

    do: str
    things: tuple[Component, ...] = ()
    look: str = ""
    bad: bool = False
    by_kind: bool = False


def shutting(valve: Component) -> tuple[str, str]:
    """What is done to shut a valve, and what to look for; a lock is the business of whoever set it."""
    if "locked" not in valve.remarks:
        return "shut", ""
    return ("shut", "it stands shut and locked: see that it does") if valve.closed else ("unlock and shut", UNLOCK)


def opening(valve: Component) -> tuple[str, str]:
    """The same to open it."""
    if "locked" not in valve.remarks:
        return "open", ""
    return ("unlock and open", UNLOCK) if valve.closed else ("open", "and lock it open again")


#: Who takes a lock off.
UNLOCK = "its lock is taken off by whoever set it, by the site's procedure"


def cooling(hot_f: float | None) -> str:
    """What is said before liquid is let out that may be hot; empty if the file says that it is not."""
    scald = f"{limit('scald')} degF"
    if hot_f is None:
        return f"how hot it is the file does not say: below {scald} before anything is opened, hotter liquid scalds"
    if hot_f <= limit("scald"):
        return ""
    return f"up to {hot_f:g} degF: below {scald} before anything is opened, hotter liquid scalds"


def _shut(piece: Piece) -> list[Task]:
    tasks = [Task("stop the pump", piece.pumps, "it must not run against shut valves")] if piece.pumps else []
    if piece.open_to:
        return [*tasks, Task("stop here", (), f"no shutoff bars the way {piece.open_to}", True)]
    for valve in piece.shutoffs:
        do, look = shutting(valve)
        tasks.append(Task(do, (valve,), look))
    return tasks


def drive_open(controls: tuple[Component, ...], held: str) -> list[Task]:
    """Control valves let through what is behind them; a three-way one shuts a port at either end of its stroke."""
    three_way = tuple(c for c in controls if c.kind.ports == "three-way")
    others = tuple(c for c in controls if c not in three_way)
    tasks = [Task("drive open", others, f"shut, it {held}")] if others else []
    return [*tasks, Task("drive half open", three_way, f"at either end it {held}")] if three_way else tasks


def _let_out(piece: Piece) -> list[Task]:
    """Vents, then drains, and what they do not let the pressure out of."""
    cool = cooling(piece.hot_f)
    tasks = [Task("let it cool", (), cool)] if cool else []
    tasks += [Task("open vent", (vent,), "slowly: it may be under pressure") for vent in piece.vents]
    if not piece.vents and not piece.self_vents:
        tasks.append(Task("let air in", (), "no vent: it empties no faster than air gets in by the drain", True))
    where = "to a container: it is glycol" if piece.holds_glycol else "to a hose or a container"
    tasks += [Task("open drain", (drain,), where) for drain in piece.drains]
    if not piece.drains:
        tasks.append(Task("cannot drain", (), "no drain in it", True))
    if not piece.levels_known:
        tasks.append(Task("cannot tell", (), "the coil's block does not say which connection is low"))
    tasks += [Task("stays full", (), f"the low point {spot}", True) for spot in piece.trapped]
    if piece.drains or piece.vents:
        for part in unrelieved(piece, (*piece.drains, *piece.vents)):
            look = f"pressure stays {part.between}, nothing lets it out: open no joint there"
            tasks.append(Task("still under pressure", tuple(part.coils), look, True))
    return tasks


def unrelieved(piece: Piece, opened: tuple[Component, ...]) -> list[Part]:
    """The parts of a piece from which no liquid gets to what is opened: beyond a check valve."""
    assert piece.liquid is not None
    return piece.liquid.parts(piece.liquid.ids - piece.liquid.reach(opened, back=True))


def drain(piece: Piece) -> list[Task]:
    """Empty it: shutoffs, the highest vent first, then the drains, and what is left in it afterwards."""
    tasks = _shut(piece)
    if piece.open_to:
        return tasks
    tasks += drive_open(piece.controls, "holds back what stands behind it")
    tasks += _let_out(piece)
    if piece.coil is not None:
        look = "tubes do not drain empty: blow out, or circulate inhibited glycol, before winter"
        tasks.append(Task("then", (piece.coil,), look))
    return tasks


def fill(piece: Piece) -> list[Task]:
    """Fill it by liquid ways with the vents open, from its lowest drain if that can be, then put it back on its mains:
    an expansion tank first, the returns last."""
    tasks = _shut(piece)
    if piece.open_to:
        return tasks
    tasks += drive_open(piece.controls, "holds air behind it")
    for task in let_in(piece):
        if task.do == "fill slowly at" and task.things[0] not in piece.shutoffs and piece.holds_glycol:
            task = replace(task, look=f"{task.look}; with the glycol mixture, not with plain water")
        tasks.append(task)
    if piece.meets:
        tasks.append(Task("stop here", (), f"with the shutoffs open {' meets '.join(piece.meets)}", True))
        return tasks
    for valve in piece.opening:
        if not valve.closed:
            do, look = opening(valve)
            tasks.append(Task(do, (valve,), look))
    if piece.controls:
        tasks.append(Task("give back", piece.controls, "to the controller"))
    if piece.pumps:
        tasks.append(Task("start the pump", piece.pumps, "once every shutoff on its way is open"))
    if piece.vents:
        look = "after the pump has run, with it stopped" if piece.pumps else "after the pump has run"
        tasks.append(Task("vent again", piece.vents, look))
    return tasks


def let_in(piece: Piece) -> list[Task]:
    """Liquid into a piece that is shut in: vents open, until it is full and shut all round.

    It goes in at one drain from which it gets to all of the piece, the lowest such; at more than one where a check
    valve bars the way; by the piece's own main, or by a vent, where no drain does.
    """
    found, dry = filled_at(piece)
    tasks = [Task("shut drain", (drain,)) for drain in piece.drains if not found or drain != found[0].at]
    tasks += [Task("open vent", (vent,)) for vent in piece.vents]
    if not piece.vents and not piece.self_vents:
        tasks.append(Task("cannot vent", (), "no vent in it: air stays", True))
    tasks += [Task("air stays", (), f"the high point {spot}", True) for spot in piece.airless]
    to_shut = piece.vents[::-1]
    for entry in found:
        tasks.append(_fill_at(piece, entry))
        full = [v for v in to_shut if _reached(piece, entry, v) and v != entry.at] if entry != found[-1] else to_shut
        tasks += [Task("shut vent", (vent,), "when liquid comes without air") for vent in full if vent != entry.at]
        if entry.at not in piece.shutoffs:
            tasks.append(Task("shut drain" if entry.at in piece.drains else "shut vent", (entry.at,)))
        to_shut = tuple(vent for vent in to_shut if vent not in full)
    for part in dry:
        look = f"no drain or vent lets {part.what} fill: put one in {part.between}"
        tasks.append(Task("cannot fill", (), look, True))
    return tasks


def filled_at(piece: Piece) -> tuple[list[Entry], list[Part]]:
    """Where a piece is filled, and the parts of it that nothing fills."""
    assert piece.liquid is not None
    return entries(piece.liquid, piece.drains[::-1], piece.fed_by, piece.vents[::-1])


def _reached(piece: Piece, entry: Entry, vent: Component) -> bool:
    assert piece.liquid is not None
    return bool(piece.liquid.reach((vent,)) & entry.fills)


def _fill_at(piece: Piece, entry: Entry) -> Task:
    """One place where liquid goes in, and why there."""
    at = entry.at
    if at in piece.shutoffs:
        return Task("fill slowly at", (at,), "no drain: by its own main, the shutoff a crack open", True)
    if at not in piece.drains:
        return Task("fill slowly at", (at,), "by a vent, for no drain fills it; the air comes out by another", True)
    if not entry.covers_all:
        return Task("fill slowly at", (at,), "a check valve bars the way from here to the rest")
    if at == piece.lowest:
        return Task("fill slowly at", (at,), "its lowest drain")
    if piece.lowest is not None:
        return Task("fill slowly at", (at,), f"not {piece.lowest.called}: from there a check valve bars the way")
    return Task("fill slowly at", (at,), "a drain; which is the lowest the file does not tell")


def lock_out(piece: Piece) -> list[Task]:
    """Cut it off from everything, lock it, let the pressure out, and prove that none is left.

    A control valve that is shut hides the pressure behind it from every drain and vent on its other side.
    """
    tasks = _shut(piece)
    if piece.open_to:
        return tasks
    tasks.append(Task("lock and tag", piece.shutoffs, "each with the lock of whoever works on it"))
    tasks += drive_open(piece.controls, "holds pressure behind it: leave it open until all is proved")
    tasks += _let_out(piece)
    proof = piece.drains or piece.vents
    if proof:
        while_open = ", and the control valve too" if piece.controls else ""
        look = f"open{while_open}, and nothing comes: no pressure is left, the shutoffs hold"
        if unrelieved(piece, proof):
            proof = (*piece.vents, *piece.drains)
        if unrelieved(piece, proof):
            look += "; of what is named above as still under pressure it proves nothing"
        tasks.append(Task("prove", proof, look))
    else:
        look = "nothing can be opened to see that no pressure is left: open no joint, unless it was never filled"
        tasks.append(Task("cannot prove", (), look, True))
    return tasks
