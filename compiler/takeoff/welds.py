"""Lists of welds: one by one, in joints and inch-diameters, and the rod and wire to buy."""

from __future__ import annotations

from ..model.hookup import Component, Hookup
from ..model.size import Size
from ..model.table import NOT_IN_TABLES, Column, Row, Table, Unknown, Value
from .job import Job
from .naming import in_blocks
from .pieces_of_pipe import is_cut_pipe
from .tally import Line, Tally, trimmed
from .welding import BRANCH, Weld

_WELDS = (
    Column("weld", "Weld"),
    Column("units", "Units"),
    Column("count", "Units built so", align="right"),
    Column("line", "Line"),
    Column("kind", "Kind"),
    Column("size", "Size"),
    Column("schedule", "Schedule"),
    Column("wall", "Wall", "in", "right"),
    Column("made", "Shop or field"),
    Column("between", "Between"),
    Column("ids", "Ids", data_only=True),
    Column("spool", "Spool"),
    Column("prep", "Preparation"),
    Column("metal", "Weld metal", "lb", "right"),
    Column("passes", "By pass, lb"),
    Column("filler", "Filler to buy", "lb", "right"),
    Column("welder", "Welder", by_hand=True),
    Column("heat", "Heat number", by_hand=True),
    Column("date", "Date", by_hand=True),
)
_TOTALS = (
    Column("kind", "Kind"),
    Column("size", "Size"),
    Column("schedule", "Schedule"),
    Column("made", "Shop or field"),
    Column("each", "Per unit", align="right"),
    Column("joints", "Joints", align="right", adds_up=True),
    Column("inch_diameters", "Inch-diameters", align="right", adds_up=True),
    Column("other_inch_diameters", "Other inch-diameters", align="right", adds_up=True),
    Column("metal", "Weld metal", "lb", "right", adds_up=True),
    Column("filler", "Filler to buy", "lb", "right", adds_up=True),
)
_FILLER = (
    Column("item", "Item", align="right"),
    Column("pass", "Pass"),
    Column("process", "Process"),
    Column("name", "Rod or wire"),
    Column("diameter", "Diameter", "in", "right"),
    Column("welds", "Welds", align="right"),
    Column("metal", "Weld metal", "lb", "right", adds_up=True),
    Column("buy", "Buy", "lb", "right", adds_up=True),
)
_HOW = (
    "Weld metal is the groove with its cap, or the flat fillets, and nothing for what is ground out, welded again or "
    "left over. A slip-on flange is one joint of two fillets.",
    "Shop or field: a weld at a main or a coil, one end of each field-fit piece and a weld that parts two spools are "
    "made in place, all others are taken to be made in the shop.",
)


def welds(job: Job) -> Table:
    """Every weld of every distinct hookup, numbered through it; amounts are for one weld of one unit."""

    def rows_of(hookup: Hookup) -> list[Row]:
        spools = job.spools(hookup)
        return [_row(weld, spools.of_weld(weld)) for weld in job.welds(hookup)]

    rows = in_blocks(job.hookups, rows_of, counted=True)
    notes = (*_HOW, "Numbers count through one unit; a star in a tag stands for the unit's number.")
    return Table("welds", "Weld list", _WELDS, rows, notes)


def _row(weld: Weld, spool: str) -> Row:
    passes = [(d.name, d.metal) for d in weld.deposits if d.name]
    cells: dict[str, Value] = {
        "weld": f"W{weld.number}",
        "line": weld.line,
        "kind": weld.kind,
        "size": size_of_weld(weld),
        "schedule": weld.schedule,
        "wall": float(weld.wall) if weld.wall is not None else NOT_IN_TABLES,
        "made": _made(weld),
        "between": _between(weld),
        "ids": tuple(dict.fromkeys(c.id for c in weld.between)),
        "spool": spool or None,
        "prep": weld.prep or None,
        "metal": _lb(weld.metal),
        "passes": tuple(f"{name} {_lb(metal)}" for name, metal in passes) or None,
        "filler": _lb(weld.bought),
    }
    return Row(cells, weld.origin, weld.why)


def weld_totals(job: Job) -> Table:
    """Joints, inch-diameters, weld metal and filler of all units, by kind, size, schedule and shop or field.

    The inch-diameters of butt welds stand in a column of their own; those of all other kinds are not of that sort.
    """
    tally, sizes = Tally(), dict[tuple[str, ...], Weld]()
    amounts: dict[tuple[str, ...], list[float | Unknown]] = {}
    for hookup in job.hookups:
        for weld in job.welds(hookup):
            key = (weld.kind, size_of_weld(weld), weld.schedule, _made(weld))
            tally.add(key, hookup, 1, "", weld.origin, weld.why)
            sizes.setdefault(key, weld)
            held = amounts.setdefault(key, [0.0, 0.0])
            for place, amount in enumerate((weld.metal, weld.bought)):
                held[place] = _more(held[place], amount, len(hookup.units))
    rows = [
        _total_row(key, tally.lines[key], sizes[key], amounts[key], len(job.hookups))
        for key in sorted(tally.lines, key=lambda key: _order(key, sizes[key]))
    ]
    return Table("weld-totals", "Welds by kind and size", _TOTALS, tuple(rows), _HOW)


def _total_row(key: tuple[str, ...], line: Line, weld: Weld, amounts: list[float | Unknown], hookups: int) -> Row:
    inches = trimmed(line.total * float(_runs(weld).inches))
    cells: dict[str, Value] = {**dict(zip(("kind", "size", "schedule", "made"), key, strict=True))}
    cells |= {
        "each": line.per_unit(hookups),
        "joints": trimmed(line.total),
        "inch_diameters": inches if weld.kind == "butt" else None,
        "other_inch_diameters": None if weld.kind == "butt" else inches,
        "metal": _lb(amounts[0]),
        "filler": _lb(amounts[1]),
    }
    return Row(cells, line.origin, "; ".join(line.reasons))


def filler(job: Job) -> Table:
    """Rod and wire for all units, by pass, process, classification and diameter."""
    tally = Tally()
    amounts: dict[tuple[str, ...], list[float | Unknown]] = {}
    diameters: dict[tuple[str, ...], Value] = {}
    for hookup in job.hookups:
        for weld in job.welds(hookup):
            for deposit in weld.deposits:
                known = not isinstance(deposit.metal, Unknown)
                what = deposit.name or ("" if known else f"{weld.kind} welds")
                key: tuple[str, ...] = (
                    what,
                    deposit.filler.process,
                    deposit.filler.name,
                    str(deposit.filler.diameter or ""),
                )
                tally.add(key, hookup, 1, "", weld.origin, str(deposit.filler))
                diameters[key] = deposit.filler.diameter
                held = amounts.setdefault(key, [0.0, 0.0])
                for place, amount in enumerate((deposit.metal, deposit.bought)):
                    held[place] = _more(held[place], amount, len(hookup.units))
    rows = []
    for number, (key, line) in enumerate(tally.lines.items(), 1):
        cells: dict[str, Value] = {
            "item": number,
            "pass": key[0] or "all passes",
            "process": key[1],
            "name": key[2] or "not said",
            "diameter": diameters[key],
            "welds": trimmed(line.total),
            "metal": _lb(amounts[key][0]),
            "buy": _lb(amounts[key][1]),
        }
        rows.append(Row(cells, line.origin, "; ".join(line.reasons)))
    return Table("filler", "Rod and wire to buy", _FILLER, tuple(rows), _HOW[:1])


def _more(held: float | Unknown, amount: float | Unknown, times: int) -> float | Unknown:
    if isinstance(held, Unknown) or isinstance(amount, Unknown):
        return NOT_IN_TABLES
    return held + amount * times


def _runs(weld: Weld) -> Size:
    """The size that a weld runs round: of a branch weld, its outlet."""
    return weld.branch_size if weld.kind == BRANCH and weld.branch_size is not None else weld.size


def size_of_weld(weld: Weld) -> str:
    """The size as the lists print it: of a branch weld both."""
    return f"{weld.size} x {weld.branch_size}" if weld.kind == BRANCH else weld.size.label


def _made(weld: Weld) -> str:
    return "field" if weld.field else "shop"


def _between(weld: Weld) -> str:
    if weld.kind == BRANCH:
        outlet = weld.between[0]
        return f"pipe {weld.size} - {outlet.tag or f'{outlet.kind.name} {weld.branch_size}'}"
    return " - ".join(_side(component) for component in weld.between)


def _side(component: Component) -> str:
    """An outlet's own run is pipe: what is welded on at its end is welded to the pipe."""
    return f"pipe {component.size}" if is_cut_pipe(component) else component.label


def _order(key: tuple[str, ...], weld: Weld) -> tuple[int, int, int, str, str]:
    kinds = ("butt", "slip-on pair", "socket", BRANCH)
    branch = weld.branch_size.rank if weld.branch_size is not None else 0
    return (kinds.index(weld.kind), weld.size.rank, branch, key[2], key[3])


def _lb(value: float | Unknown) -> float | Unknown:
    """To a thousandth: that is what one weld on small pipe weighs a few hundredths of."""
    return value if isinstance(value, Unknown) else round(value, 3)
