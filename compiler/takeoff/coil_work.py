"""Work on one coil as lists of steps: draining and filling, the pressure test, lockout."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..analysis import pressure_test as testing
from ..analysis.lineups import worked_out
from ..analysis.pieces import Piece, coil_piece, other_pieces
from ..analysis.servicing import Task, drain, fill, lock_out
from ..analysis.trapped import trapped_gallons
from ..catalogue.limits import limit
from ..model.hookup import Hookup
from ..model.table import Column, Row, Table, Value
from .job import Job
from .naming import in_blocks, kinds, things
from .tally import trimmed

_DEFER = (
    "Worked out from the file with every valve that is not named taken as open. Local codes, the site's own program, "
    "the engineer of record and licensed practice decide; this sheet is no permit and claims no compliance."
)
_COLUMNS = (
    Column("units", "Units"),
    Column("work", "Work"),
    Column("step", "Step", align="right"),
    Column("do", "Do"),
    Column("what", "Which"),
    Column("look", "Look for"),
)


def drain_and_fill(job: Job) -> Table:
    """For every coil, then every other piece between shutoffs."""

    def rows(hookup: Hookup) -> Iterator[Row]:
        for piece in (*_coils(hookup, job), *other_pieces(hookup, job.sections(hookup))):
            yield from _steps(hookup, piece, f"drain {piece.name()}", [*drain(piece), *_left(hookup, piece)])
            yield from _steps(hookup, piece, f"fill {piece.name()}", fill(piece))

    notes = (
        "Highest vent before drain; filled with the vents open, which are shut from the lowest up, as far as the file "
        "tells which that is. It is filled at the lowest drain from which liquid gets to all of it: not through a shut "
        "valve, not back through a check valve.",
        "Fill every piece that was drained before the first shutoff is opened: one that opens on an empty piece sends "
        "its air down the main. A fill hose from drinking water goes through a backflow preventer (plumbing codes).",
        "Coil tubes do not drain empty: blow them dry until a mirror at the vent stays clear, or circulate inhibited "
        "glycol for 15 minutes and check its strength (a coil maker's service text; a second maker agrees).",
        "Trapped: runs of pipe only; valves and fittings are not counted.",
        "Glycol goes to a container, not to a floor drain where that is not permitted; ethylene glycol is poisonous. "
        f"Water above {limit('scald')} degF scalds: let it cool and let the pressure out first.",
        _DEFER,
    )
    return Table(
        "drain-and-fill",
        "Draining and filling",
        _COLUMNS,
        in_blocks(job.hookups, lambda hookup: list(rows(hookup))),
        notes,
    )


def pressure_test(job: Job) -> Table:
    """For every coil, then every other piece between shutoffs."""

    def rows(hookup: Hookup) -> Iterator[Row]:
        for piece in (*_coils(hookup, job), *other_pieces(hookup, job.sections(hookup))):
            yield from _steps(
                hookup, piece, f"test {piece.name()}", testing.pressure_test(hookup, job.sections(hookup), piece)
            )

    notes = (
        "1.5 times the design pressure, never above the weakest part (UFGS 15211; ASME B31.9, from memory). Ratings "
        "are read at 100 degF, those of flanges, unions, bronze valves and copper fittings from memory; pipe, nipples, "
        "welds and grooved couplings are not looked up. The coil counts only by what its block says.",
        "One maker allows no test, cleaning or flushing through the air handler at all; other texts have coils, "
        "control valves, gauges and flexible parts isolated or removed.",
        "No joint is opened before the piece is shut in, drained and proved to be without pressure, as for a lockout. "
        "A coil that is blanked off parts its supply from its return; the jumper in its place lets one drain fill both "
        "and one vent let the air out of both (common practice, no source). The coil's own taps are blanked off with "
        "it.",
        "The shut valves at its ends bear the test too, and one that passes sends test water into its main: where two "
        "of them keep another service off, the bleed between the two stays open for as long.",
        "Not tested by this sheet: pipe from a main to the first shutoff on it, which is tested with the main, and "
        "what is behind a shut drain or vent.",
        "With water, not with air. The relief on the test pump is set no more than a third above the test pressure. "
        "Keep people away from piping under test, and say so on signs.",
        _DEFER,
    )
    return Table(
        "pressure-test", "Pressure test", _COLUMNS, in_blocks(job.hookups, lambda hookup: list(rows(hookup))), notes
    )


def lockout(job: Job) -> Table:
    """For every coil."""

    def rows(hookup: Hookup) -> Iterator[Row]:
        for piece in _coils(hookup, job):
            yield from _steps(hookup, piece, f"lock out {piece.name()}", lock_out(piece))

    notes = (
        "29 CFR 1910.147: after locks and tags are on, stored or residual energy is relieved and the isolation "
        "verified before work begins, (d)(5) and (d)(6). Its scope leaves out construction, where the site's program "
        "holds.",
        "The fan, the pump and the heat trace are disconnected and locked as well. An air handler's plenum, a pit or a "
        "tank can be a confined space: 29 CFR 1910.146, 1926 Subpart AA.",
        f"Drain to a container. Ethylene glycol is poisonous; water above {limit('scald')} degF scalds.",
        _DEFER,
    )
    return Table("lockout", "Lockout", _COLUMNS, in_blocks(job.hookups, lambda hookup: list(rows(hookup))), notes)


def _coils(hookup: Hookup, job: Job) -> list[Piece]:
    """The pieces with coils, each once though it may hold two."""
    sections = job.sections(hookup)
    lineups = worked_out(hookup, sections)
    found = (coil_piece(hookup, sections, lineups, tag) for tag in hookup.coils if tag in hookup.graph)
    return list({id(piece.section): piece for piece in found if piece is not None}.values())


def _left(hookup: Hookup, piece: Piece) -> list[Task]:
    """How much stays at each low point without a drain."""
    tasks = []
    for spot, pools in zip(piece.trapped, piece.trapped_pools, strict=True):
        amount = trapped_gallons(hookup, piece.section, pools)
        said = f"{trimmed(amount)} gal" if isinstance(amount, float) else f"how much: {amount}"
        tasks.append(Task("trapped", (), f"{said}, {spot}", True))
    return tasks


def _steps(hookup: Hookup, piece: Piece, work: str, tasks: Iterable[Task]) -> Iterator[Row]:
    spans = [v.origin[0] for v in piece.shutoffs] or [hookup.span]
    if piece.coil is not None:
        spans.insert(0, piece.coil.origin[0])
    for number, task in enumerate(tasks, 1):
        cells: dict[str, Value] = {
            "work": work,
            "step": number,
            "do": f"{task.do}!" if task.bad else task.do,
            "what": (kinds if task.by_kind else things)(task.things),
            "look": task.look,
        }
        origin = tuple(dict.fromkeys((*(t.origin[0] for t in task.things), *spans)))
        yield Row(cells, origin, "worked out from the shutoffs, drains and vents of this piece")
