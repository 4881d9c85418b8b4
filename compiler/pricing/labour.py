"""Hours: operations counted from welds, joints, pipe, hangers and valves, times hours of the books, times factors."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fnmatch import fnmatchcase
from fractions import Fraction

from ..analysis.hanging import HANGER
from ..model.hookup import Hookup, UnitRef
from ..model.span import Origin, Span
from ..model.table import NO_HOURS, NO_PRICE, NOT_MEASURED, Column, Row, Table, Unknown, Value
from ..takeoff.bill import pipe_under
from ..takeoff.flanged import mixed
from ..takeoff.heat_trace import TO_BUY, heat_trace
from ..takeoff.insulation import insulation
from ..takeoff.job import Job
from ..takeoff.pieces_of_pipe import pipe_pieces
from ..takeoff.tally import trimmed
from ..takeoff.welds import size_of_weld
from .book import Entry, Factor
from .books import Books, NotFound
from .cents import ROUNDING, exact, rounded, shared
from .keys import name_key, size_key
from .materials import Missing, Priced
from .parts import INSULATION, NO_LINE, PIPE, TRACE, Part, column_of_money, money, per_cell, scale_cell, sum_note

_JOINTS = {"threaded": "thread joint", "soldered": "solder joint", "grooved": "groove joint"}
#: Groups of the bill whose pieces are set one by one.
_SET = {
    "valves": "set valve",
    "specialties": "set specialty",
    "instruments": "set instrument",
    "equipment": "set equipment",
}
_HOW = (
    "Shop or field (common practice, no source): welds as in the weld list; threaded and soldered joints inside one "
    "spool in the shop; bolting, grooved joints, handling pipe, hanging and setting in the field.",
    "Insulating and tracing count as their lists do, in the field; which line they are on those lists do not say.",
)
#: Parts of the insulation list, and what is done there: pipe by the ft, all else by the piece.
_INSULATE = {"pipe": "insulate pipe", "fittings": "insulate fitting", "covers": "insulate body", "taps": "insulate tap"}
#: Rows of the heat trace list, and what is done there.
_CONNECT = {
    "power connections": "trace power connection",
    "tee splices": "trace tee splice",
    "end seals": "trace end seal",
}


@dataclass(frozen=True, slots=True)
class Choice:
    """A factor that is asked for, on the units whose tags fit the pattern."""

    name: str
    units: str = "*"


@dataclass(frozen=True, slots=True)
class _Operation:
    """Something done so many times in every unit of a hookup."""

    key: tuple[str, str, str, str, str]  # operation, size, detail, where, unit
    count: float | Unknown
    line: str
    origin: Origin
    trade: str = PIPE


@dataclass(slots=True)
class _Line:
    """A row of `hours`: all that is the same operation under the same factors."""

    trade: str
    quantity: float = 0.0
    unknown: int = 0
    shares: dict[tuple[int, str], tuple[Sequence[UnitRef], float]] = field(default_factory=dict)
    origin: dict[Span, None] = field(default_factory=dict)


def hours(job: Job, books: Books, chosen: Sequence[Choice] = ()) -> Priced:
    """The hours of all units and what they cost. A chosen name that the books do not have changes nothing here."""
    lines = _lines(job, books, chosen)
    rows, parts, missing = list[Row](), list[Part](), list[Missing]()
    total, cost = Decimal(0), Decimal(0)
    factored = any(factors for _, factors in lines)
    for key, factors in sorted(
        lines, key=lambda one: (one[0][0], size_rank(one[0][1]), one[0], [f.name for f in one[1]])
    ):
        line = lines[key, factors]
        rate = books.rate(line.trade)
        found = books.hours.find((name_key(key[0]), size_key(key[1]), name_key(key[2]), key[3], key[4]))
        times = Fraction(1)
        for factor in factors:
            times *= Fraction(factor.times)
        cells: dict[str, Value] = {
            "operation": key[0],
            "size": key[1],
            "detail": key[2],
            "where": key[3],
            "unit": key[4],
            "quantity": NOT_MEASURED if line.unknown else trimmed(line.quantity),
            "factors": tuple(f"{factor.name} {factor.times.normalize():f}" for factor in factors) or None,
            "times": float(times) if factored else None,
        }
        weights = [weight for _, weight in line.shares.values()]
        spent, labour = list[Decimal](), list[Decimal]()
        if isinstance(found, Entry) and not line.unknown:
            some = rounded(exact(trimmed(line.quantity)) * found.each * times)
            total += some
            cells |= {
                "each": float(found.value),
                "per": per_cell(found.per, key[4]),
                "scale": scale_cell(found.scale),
                "hours": money(some),
            }
            spent = shared(some, weights)
            if rate is not None:
                paid = rounded(Fraction(some) * rate.each)
                cost += paid
                cells |= {"rate": float(rate.value), "cost": money(paid)}
                labour = shared(paid, weights)
            else:
                cells |= {"rate": NO_PRICE, "cost": NO_PRICE}
        else:
            cells |= {"each": float(found.value) if isinstance(found, Entry) else NO_HOURS, "hours": NO_HOURS}
            cells |= {"cost": NO_PRICE}
        why = found.why if isinstance(found, NotFound) else ""
        if line.unknown:
            why = f"{line.unknown} pieces in all units are not measured" + (f"; {why}" if why else "")
        elif not why and rate is None:
            why = f"the books have no crew rate for the trade {line.trade}"
        if why:
            missing.append(Missing({**cells, "list": "hours", "what": key[0]}, tuple(line.origin), why))
        for at, ((_, name), (units, _)) in enumerate(line.shares.items()):
            some_hours = spent[at] if spent else Decimal(0)
            some_cost = labour[at] if labour else Decimal(0)
            parts.append(
                Part(
                    units,
                    name or NO_LINE,
                    line.trade,
                    key[3],
                    key[0],
                    hours=some_hours,
                    labour=some_cost,
                    missing=bool(why),
                )
            )
        rows.append(Row(cells, tuple(line.origin), why or (found.place if isinstance(found, Entry) else "")))
    notes = (
        *books.notes,
        sum_note("Hours", total, "h", len(missing)),
        sum_note("Labour", cost, books.currency, len(missing)),
        f"{ROUNDING} Factors multiply each other.",
        *_HOW,
    )
    table = Table("hours", "Hours", _columns(books.currency, factored), tuple(rows), notes)
    return Priced(table, tuple(parts), tuple(missing), cost)


def size_rank(size: str) -> Fraction:
    """For sorting."""
    from ..model.size import find_size

    found = find_size(size.split(" x ")[0])
    return found.inches if found is not None else Fraction(0)


def _columns(currency: str, factored: bool) -> tuple[Column, ...]:
    product = "quantity * each * times / scale" if factored else "quantity * each / scale"
    return (
        Column("operation", "Operation"),
        Column("size", "Size"),
        Column("detail", "Detail"),
        Column("where", "Shop or field"),
        Column("quantity", "Quantity", align="right"),
        Column("unit", "Unit"),
        Column("each", "Hours each", "h", "right"),
        Column("per", "Per"),
        Column("scale", "Hours are for", align="right", data_only=True),
        Column("factors", "Factors"),
        Column("times", "Times", "x", "right"),
        Column("hours", "Hours", "h", "right", adds_up=True, formula=product),
        column_of_money("rate", "Crew rate", currency),
        column_of_money("cost", "Cost", currency, True, "hours * rate"),
    )


def _lines(
    job: Job, books: Books, chosen: Sequence[Choice]
) -> dict[tuple[tuple[str, str, str, str, str], tuple[Factor, ...]], _Line]:
    made: dict[tuple[tuple[str, str, str, str, str], tuple[Factor, ...]], _Line] = {}
    for hookup in job.hookups:
        alike: dict[tuple[str, ...], list[UnitRef]] = {}
        for unit in hookup.units:
            names = dict.fromkeys(choice.name for choice in chosen if fnmatchcase(unit.tag, choice.units))
            alike.setdefault(tuple(names), []).append(unit)
        for one in _operations(job, hookup):
            for names_chosen, units in alike.items():
                line = made.setdefault((one.key, _factors(books, one, names_chosen)), _Line(one.trade))
                line.origin.update(dict.fromkeys(one.origin))
                weight = 0.0
                if isinstance(one.count, Unknown):
                    line.unknown += len(units)
                else:
                    weight = one.count * len(units)
                line.quantity += weight
                at = (id(units), one.line)
                line.shares[at] = (units, weight + (line.shares[at][1] if at in line.shares else 0.0))
    return made


def _factors(books: Books, one: _Operation, names: Sequence[str]) -> tuple[Factor, ...]:
    """Those chosen, and those that the books always use, as far as they are for this operation."""
    return tuple(
        factor
        for name, rows in books.factors.items()
        for factor in rows
        if (factor.always or name in names)
        and factor.operation in ("", name_key(one.key[0]))
        and factor.where in ("", one.key[3])
    )


def _operations(job: Job, hookup: Hookup) -> Iterator[_Operation]:
    yield from _on_pipe(job, hookup)
    yield from _insulating(job, hookup)
    yield from _tracing(job, hookup)


def _insulating(job: Job, hookup: Hookup) -> Iterator[_Operation]:
    """Insulating, by what it goes round; the detail is its thickness."""
    for row in insulation(replace(job, hookups=[hookup])).rows:
        what, size, unit, thick = (row.cells.get(key) for key in ("what", "size", "unit", "thickness"))
        part = str(row.cells["part"])
        name = "insulate flange pair" if what == "flange pair" else _INSULATE[part]
        detail = f"{mixed(thick)} in" if isinstance(thick, Fraction) else ""
        if part == "pipe" and unit != "ft":  # pieces whose length is not measured
            pieces = _of_one(row, hookup)
            for _ in range(0 if isinstance(pieces, Unknown) else round(pieces)):
                yield _Operation((name, str(size), detail, "field", "ft"), NOT_MEASURED, "", row.origin, INSULATION)
        else:
            key = (name, str(size), detail, "field", str(unit))
            yield _Operation(key, _of_one(row, hookup), "", row.origin, INSULATION)


def _tracing(job: Job, hookup: Hookup) -> Iterator[_Operation]:
    """Tracing: cable by the ft and the size of its pipe, the detail its rating; connections, splices and seals."""
    for row in heat_trace(replace(job, hookups=[hookup])).rows:
        what, rating = str(row.cells["what"]), row.cells.get("rating")
        if what.startswith("cable") and not what.startswith(TO_BUY):
            detail = f"{float(rating):g} W/ft" if isinstance(rating, int | float | Fraction) else ""
            key = ("trace pipe", str(row.cells["size"]), detail, "field", "ft")
            yield _Operation(key, _of_one(row, hookup), "", row.origin, TRACE)
        elif what in _CONNECT:
            yield _Operation((_CONNECT[what], "", "", "field", "pieces"), _of_one(row, hookup), "", row.origin, TRACE)


def _of_one(row: Row, hookup: Hookup) -> float | Unknown:
    """What a list that is made for one hookup has of a row in each of its units."""
    total = row.cells["total"]
    return total / len(hookup.units) if isinstance(total, int | float) else NOT_MEASURED


def _on_pipe(job: Job, hookup: Hookup) -> Iterator[_Operation]:
    spool = job.spools(hookup).mark_of
    for weld in job.welds(hookup):
        where = "field" if weld.field else "shop"
        key = (f"weld {weld.kind}", size_of_weld(weld), f"schedule {weld.schedule}", where, "pieces")
        yield _Operation(key, 1, weld.line, weld.origin)
    for joint in job.flanged(hookup):
        yield _Operation(
            ("bolt up", joint.size.label, f"class {joint.rating}", "field", "pieces"), 1, joint.line, joint.origin
        )
    for u, v, made in hookup.joints():
        if made.kind in _JOINTS:
            inside = made.kind != "grooved" and spool.get(u) and spool.get(u) == spool.get(v)
            key = (_JOINTS[made.kind], made.end_a.size.label, "", "shop" if inside else "field", "pieces")
            yield _Operation(key, 1, made.line, made.origin or hookup.component(u).origin)
    for piece in pipe_pieces(hookup):
        first = next((c for c in piece.components if c.pipe is not None), piece.components[0])
        material = first.made_of if first.pipe is not None else pipe_under(hookup, first)
        key = ("handle pipe", first.size.label, material, "field", "ft")
        if isinstance(piece.cut, Fraction):
            length: float | Unknown = float(max(piece.cut, Fraction(0))) / 12
        else:
            length = NOT_MEASURED if piece.unmeasured else float(piece.measured + piece.allowed) / 12
        yield _Operation(key, length, first.line, first.origin)
    for component in hookup.components():
        if component.pipe is not None:
            count = component.pipe.marks.count(HANGER)
            if count:
                yield _Operation(
                    ("hang", component.size.label, "", "field", "pieces"), count, component.line, component.origin
                )
        elif component.kind.group in _SET and component.kind.ports not in ("coil", "main"):
            key = (_SET[component.kind.group], component.size.label, component.kind.name, "field", "pieces")
            yield _Operation(key, 1, component.line, component.origin)
