"""Stock: which piece is cut from which length, and how many lengths to buy."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from ..model.declared import OnHand
from ..model.quantity import format_feet_inches
from ..model.size import Size
from ..model.span import Origin
from ..model.table import NOT_MEASURED, Column, Row, Table, Unknown, Value
from .cut_pieces import CutPiece, cut_pieces
from .job import Job
from .nesting import Cutting, Piece, Plan, Stock, nest

#: Width of a saw's cut where the file says none, inches. Common practice, no source.
USUAL_KERF = Fraction(1, 8)

_GROUP = (Column("sort", "Pipe or tube"), Column("size", "Size"), Column("material", "Material"))
_CUTTINGS = (
    *_GROUP,
    Column("lengths", "Lengths", align="right"),
    Column("of", "Of", "ft-in", "right"),
    Column("from", "From"),
    Column("cuts", "Cut from each"),
    Column("remnant", "Remnant of each", "ft-in", "right"),
    Column("marks", "Pieces for"),
)
_TO_BUY = (
    *_GROUP,
    Column("pieces", "Pieces", align="right"),
    Column("cut", "Cut", "ft-in", "right"),
    Column("buy", "Buy"),
    Column("unknown", "Pieces not in it", align="right"),
    Column("centres", "Of those, centre to centre", "ft-in", "right"),
    Column("bought", "Bought", "ft-in", "right"),
    Column("on_hand", "Used on hand"),
    Column("kerf", "Kerf", "ft-in", "right"),
    Column("remnants", "Remnants", "ft-in", "right"),
    Column("bound", "Least that could do", "ft-in", "right"),
    Column("reads", "Reads"),
)


@dataclass(frozen=True, slots=True)
class _Group:
    """The pieces of one size and material. `unknown` are those whose cut length is not known, or not above zero."""

    sort: str
    size: Size
    material: str
    pieces: tuple[CutPiece, ...]
    unknown: tuple[CutPiece, ...]
    stock: tuple[Stock, ...]
    kerf: Fraction
    stock_origin: Origin

    @property
    def cells(self) -> dict[str, Value]:
        return {"sort": self.sort, "size": self.size.label, "material": self.material}

    @property
    def plan(self) -> Plan:
        made = [Piece(p.called, p.length, p.count) for p in self.pieces if isinstance(p.length, Fraction)]
        return nest(made, self.stock, self.kerf)

    def origin(self, marks: Sequence[tuple[str, Fraction]]) -> Origin:
        wanted = set(marks)
        spans = (span for p in self.pieces if (p.called, p.length) in wanted for span in p.origin)
        return tuple(dict.fromkeys((*spans, *self.stock_origin)))


def stock(job: Job) -> Table:
    """Which pieces are cut from which length: lengths cut alike are one row. What fits no length comes last."""
    groups, notes = _groups(job)
    rows = tuple(row for group in groups if group.stock for row in _cutting_rows(group))
    return Table("stock", "Stock: what is cut from which length", _CUTTINGS, rows, notes)


def stock_to_buy(job: Job) -> Table:
    """By size and material: lengths to buy and used from what is on hand, and how near that is to the least."""
    groups, notes = _groups(job)
    rows = tuple(_total_row(group) for group in groups)
    return Table("stock-to-buy", "Stock: lengths to buy", _TO_BUY, rows, notes)


# -- groups --------------------------------------------------------------------------------------------------------


def _groups(job: Job) -> tuple[list[_Group], tuple[str, ...]]:
    by_kind: dict[tuple[str, Size, str], list[CutPiece]] = {}
    for piece in cut_pieces(job):
        by_kind.setdefault((piece.sort, piece.size, piece.material), []).append(piece)
    keys = sorted(by_kind, key=lambda key: (key[0], key[2], key[1].inches))
    in_yard, notes = _yard(job.settings.on_hand, keys)
    groups = []
    for sort, size, material in keys:
        key = (sort, size, material)
        known = tuple(p for p in by_kind[key] if isinstance(p.length, Fraction))
        unknown = tuple(p for p in by_kind[key] if isinstance(p.length, Unknown))
        said = sort if sort in job.settings.stock else "pipe"
        lengths = tuple(Stock(length) for length in job.settings.stock.get(said, ()))
        origin = (*job.settings.origin.get(f"stock of {said}", ()), *(s for o in in_yard[key] for s in o.origin))
        there = tuple(Stock(o.length, o.count) for o in in_yard[key])
        kerf = USUAL_KERF if job.settings.kerf is None else job.settings.kerf
        groups.append(_Group(sort, size, material, known, unknown, (*there, *lengths), kerf, origin))
    return groups, (*_notes(job, groups), *notes)


def _yard(
    on_hand: Sequence[OnHand], keys: Sequence[tuple[str, Size, str]]
) -> tuple[dict[tuple[str, Size, str], list[OnHand]], list[str]]:
    """What is on hand for each size and material, with notes on what can be placed nowhere or in several."""
    placed: dict[tuple[str, Size, str], list[OnHand]] = {key: [] for key in keys}
    notes = []
    for lengths in on_hand:
        fits = [key for key in keys if _is_of(lengths, key)]
        if len(fits) == 1:
            placed[fits[0]].append(lengths)
            continue
        why = "nothing is cut of its size and material" if not fits else "it could be for " + _names(fits)
        which = f"{lengths.count} at {format_feet_inches(lengths.length)} (line {lengths.origin[0].line})"
        notes.append(f"Not used from what is on hand: {which}: {why}.")
    return placed, notes


def _is_of(lengths: OnHand, key: tuple[str, Size, str]) -> bool:
    _, size, material = key
    asked, have = lengths.material.lower(), material.lower()
    return lengths.size in (None, size) and (asked in ("", have) or have.startswith(f"{asked} "))


def _names(keys: Sequence[tuple[str, Size, str]]) -> str:
    named = [f"{size.label} {material}" for _, size, material in keys]
    return " or ".join(named) if len(named) < 4 else f"{', '.join(named[:2])} and {len(named) - 2} more"


def _notes(job: Job, groups: Sequence[_Group]) -> Iterator[str]:
    kerf = job.settings.kerf
    said = "as the file says" if kerf is not None else "common practice, no source; `saw kerf` says another"
    width = format_feet_inches(USUAL_KERF if kerf is None else kerf, 64)
    yield f"Every cut loses {width} ({said}); the last piece of a length that comes out even needs no cut."
    yield "Pieces are nested end to end as they are cut, to the nearest 1/16 in; what is on hand is used first."
    if any(not group.stock for group in groups):
        yield "In what lengths pipe comes is not said: `pipe in 21 ft lengths`, `tube in 20 ft lengths` in `takeoff`."
    unknown = sum(piece.count for group in groups for piece in group.unknown)
    if unknown:
        yield f"{unknown} pieces are not in it: their cut length is not known, or comes out at nothing."
        if any(piece.centres for group in groups for piece in group.unknown):
            yield "Centre to centre is more than their cut length: take-outs are in it."
    allowed = sum(piece.count for group in groups for piece in group.pieces if piece.allowed)
    if allowed:
        yield f"{allowed} pieces rest on an `about` length: leave them long until they are measured."


# -- rows ----------------------------------------------------------------------------------------------------------


def _cutting_rows(group: _Group) -> Iterator[Row]:
    plan = group.plan
    for cutting in plan.cuttings:
        cells: dict[str, Value] = {
            **group.cells,
            "lengths": cutting.times,
            "of": cutting.stock.length,
            "from": _from(cutting.stock),
            "cuts": tuple(f"{count} of {format_feet_inches(length)}" for length, count in cutting.cuts),
            "remnant": cutting.remnant,
            "marks": _marks(cutting.marks),
        }
        yield Row(cells, group.origin([(mark, length) for mark, length, _ in cutting.marks]), _sum_of(cutting))
    for pieces, what in (
        (plan.too_long, "longer than any length: needs a weld or a coupling in the run"),
        (plan.left_over, "no length is left on hand for it, and none to buy is said"),
    ):
        for piece in pieces:
            cells = {**group.cells, "from": what, "cuts": (f"{piece.count} of {format_feet_inches(piece.length)}",)}
            cells["marks"] = _marks([(piece.mark, piece.length, piece.count)])
            yield Row(cells, group.origin([(piece.mark, piece.length)]), what)


def _from(stock: Stock) -> str:
    return "to buy" if stock.on_hand is None else "on hand"


def _marks(marks: Sequence[tuple[str, Fraction, int]]) -> tuple[str, ...]:
    """`GA-3-S-TRIM-03: P5, P7 of 3 in`; of a piece that several units have, how many: `P5 (4)`."""
    spools: dict[tuple[str, Fraction], dict[str, int]] = {}
    for mark, length, count in marks:
        spool, _, piece = mark.rpartition(": ")
        pieces = spools.setdefault((spool, length), {})
        pieces[piece] = pieces.get(piece, 0) + count
    made = []
    for (spool, length), pieces in spools.items():
        named = ", ".join(piece if count == 1 else f"{piece} ({count})" for piece, count in pieces.items())
        made.append(f"{spool}: {named} of {format_feet_inches(length)}")
    return tuple(made)


def _sum_of(cutting: Cutting) -> str:
    """`21 ft = 2 of 10 ft + 1/4 in kerf + 11-3/4 in left`."""
    terms = [f"{count} of {format_feet_inches(length)}" for length, count in cutting.cuts]
    terms.append(f"{format_feet_inches(cutting.kerf, 64)} kerf")
    return f"{format_feet_inches(cutting.stock.length)} = {' + '.join(terms)} + {_length(cutting.remnant)} left"


def _length(value: Fraction) -> str:
    return format_feet_inches(value, 64)


def _total_row(group: _Group) -> Row:
    cells: dict[str, Value] = {
        **group.cells,
        "pieces": sum(piece.count for piece in group.pieces),
        "unknown": sum(piece.count for piece in group.unknown) or None,
        "centres": sum((piece.centres * piece.count for piece in group.unknown), Fraction(0)) or None,
    }
    if not group.pieces:
        spans = tuple(dict.fromkeys(span for piece in group.unknown for span in piece.origin))
        return Row({**cells, "cut": _why_unknown(group.unknown), "reads": "no cut length of it is known"}, spans)
    marks = [(p.called, p.length) for p in group.pieces if isinstance(p.length, Fraction)]
    cells["cut"] = sum((p.length * p.count for p in group.pieces if isinstance(p.length, Fraction)), Fraction(0))
    if not group.stock:
        return Row({**cells, "reads": "in what lengths it comes is not said"}, group.origin(marks))
    plan = group.plan
    cells |= {
        "buy": _to_buy(plan, group),
        "bought": plan.bought,
        "on_hand": _counted(plan, on_hand=True),
        "kerf": sum((c.kerf * c.times for c in plan.cuttings), Fraction(0)),
        "remnants": sum((c.remnant * c.times for c in plan.cuttings), Fraction(0)),
        "bound": plan.bound,
        "reads": _verdict(plan, group),
    }
    return Row(cells, group.origin(marks), f"the least that could do follows from {plan.proven_by}")


def _why_unknown(pieces: Sequence[CutPiece]) -> Unknown:
    """Why the lengths of some pieces are not known: that they are not measured, where several reasons meet."""
    reasons = {piece.length for piece in pieces if isinstance(piece.length, Unknown)}
    return reasons.pop() if len(reasons) == 1 else NOT_MEASURED


def _counted(plan: Plan, *, on_hand: bool) -> tuple[str, ...] | None:
    counts: dict[Fraction, int] = {}
    for cutting in plan.cuttings:
        if (cutting.stock.on_hand is not None) == on_hand:
            counts[cutting.stock.length] = counts.get(cutting.stock.length, 0) + cutting.times
    return tuple(f"{count} of {format_feet_inches(length)}" for length, count in counts.items()) or None


def _to_buy(plan: Plan, group: _Group) -> tuple[str, ...] | None:
    """`3 of 21 ft`; `at least` so many where pieces are not in it."""
    counted = _counted(plan, on_hand=False)
    if counted is None or not group.unknown:
        return counted
    return (f"at least {counted[0]}", *counted[1:])


def _verdict(plan: Plan, group: _Group) -> str:
    words = []
    if plan.cuttings:
        over = plan.bought - plan.bound
        least = "the least" if plan.optimal else f"at most {format_feet_inches(over)} more than the least"
        words.append(f"{least} for what is known" if group.unknown else least)
    if group.unknown:
        left_out = sum(piece.count for piece in group.unknown)
        words.append(f"{left_out} of {left_out + sum(piece.count for piece in group.pieces)} pieces are not in it")
    if plan.too_long:
        words.append(f"{sum(p.count for p in plan.too_long)} pieces longer than any length")
    if plan.left_over:
        words.append(f"{sum(p.count for p in plan.left_over)} pieces for which no length is left")
    return "; ".join(words)
