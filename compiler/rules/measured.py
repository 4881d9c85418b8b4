"""What the lengths of a file say against themselves: lines beside their end, no room for pipe, places that differ."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from ..analysis.places import SIDES
from ..analysis.sections import Sections
from ..catalogue.dimensions import weld_elbow
from ..catalogue.flanges import flange
from ..model.finding import Finding, Note
from ..model.hookup import AXIS, Hookup, Move, Place
from ..model.measured import Miss, Part, Straight
from ..model.mend import Mend, write
from ..model.quantity import format_feet_inches
from ..model.span import Span
from ..passes.mirror import as_drawn
from .registry import Verdict, concerned, fault, rule

_GEOMETRY = ("geometry: the lengths of a closed figure add up",)
#: A hole is met if the pipe passes this near to where it is said to be. Common practice, no source.
_NEAR_HOLE = Fraction(1, 4)


@rule(
    "route-misses-end",
    severity="must",
    asks="the moves of a line lead from its start to its end",
    why="Somebody misread the tape or left out a move: pipe that is cut to these lengths does not fit.",
    mend="measure this line again, or mark the move that takes up what is left `field fit`",
    sources=_GEOMETRY,
    agreement="follows from the file alone",
    needs="lengths of all moves, and places of the main and the coil connection (`at right 14 in, up 6 in`)",
)
def route_misses_end(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The three components of the miss, and the one move that would close it where there is one."""
    if hookup.measured is None:
        return
    for miss in hookup.measured.misses:
        line = hookup.lines[miss.line]
        notes, mend, help = _closing(hookup, miss)
        yield fault(
            f"`{miss.line}` ends {_beside(hookup, miss)}",
            line.span,
            about=tuple(tag for tag in (line.coil,) if tag),
            notes=notes,
            mend=mend,
            help=help,
        )


def _beside(hookup: Hookup, miss: Miss) -> str:
    """`1-1/2 in right and 1/4 in down of where it should`, in the hand of the file, so that it is told once for both
    hands of a typical."""
    words = [
        f"{format_feet_inches(abs(by))} {as_drawn(hookup, SIDES[axis][0] if by > 0 else SIDES[axis][1])}"
        for axis, by in enumerate(miss.by)
        if round(abs(by) * 16)
    ]
    return f"{' and '.join(words)} of where it should{_hand(hookup)}"


def _hand(hookup: Hookup) -> str:
    """What says that left and right are the file's, where its units may be of either hand."""
    return ", as drawn" if hookup.drawn else ""


def _closing(hookup: Hookup, miss: Miss) -> tuple[tuple[Note, ...], Mend, str]:
    axes = [axis for axis, by in enumerate(miss.by) if round(abs(by) * 16)]
    if len(axes) != 1:
        return (), (), ""
    open_ = _open_along(hookup, miss.line, axes[0])
    if open_ is not None:
        notes = [Note("the length of this move is left open, and would have to be less than nothing", open_.origin[0])]
        if (least := _least(open_)) is not None:
            notes.append(Note(f"it needs {_in(least)} = {_sum(open_)}, and some pipe"))
        return tuple(notes), (), "measure the other moves and the places of its ends again"
    for move in _moves_along(hookup, miss.line, axes[0]):
        leg = move.legs[0]
        assert leg.length is not None
        onward = 1 if leg.direction in (side[0] for side in SIDES) else -1
        length = leg.length - miss.by[axes[0]] * onward
        if length > 0:
            said = _written(hookup, move, length)
            return (Note("this move can take it up", move.span),), write(move.span, said), ""
    return (), (), f"no move along {' and '.join(SIDES[axes[0]])} can take it up: put one in"


def _open_along(hookup: Hookup, line: str, axis: int) -> Straight | None:
    """A straight of a line along one line of space of which nothing says the length."""
    assert hookup.measured is not None
    for straight in hookup.measured.straights:
        if straight.line == line and straight.how == "not given" and AXIS.get(straight.heading) == axis:
            return straight
    return None


def _least(straight: Straight) -> Fraction | None:
    """What the things on a straight take up without any pipe; None if that of one is not known."""
    total = Fraction(0)
    for part in straight.parts:
        if part.sort != "cut":
            if not isinstance(part.length, Fraction):
                return None
            total += part.length
    return total + _covered(straight)


def _moves_along(hookup: Hookup, line: str, axis: int) -> list[Move]:
    """The moves of a line along one line of space that have a length; those fitted on the job first, else the last."""
    found = [
        move
        for link in hookup.straights
        if link.line == line and link.port_a not in ("branch", "bypass")
        for move in link.moves
        if len(move.legs) == 1 and not move.at_45 and move.legs[0].length is not None
        if AXIS[move.legs[0].direction] == axis
    ]
    found.reverse()
    return sorted(found, key=lambda move: not move.field_fit)


def _written(hookup: Hookup, move: Move, length: Fraction) -> str:
    """A move with another length, as the file would say it: its own hand, not that of the units."""
    words = [f"{as_drawn(hookup, move.legs[0].direction)} {format_feet_inches(length)}"]
    if move.pitch is not None:
        words.append(f"pitch {'up ' if move.pitch > 0 else ''}{abs(move.pitch)} in per ft")
    words += ["short radius"] if move.short_radius else []
    words += ["field fit"] if move.field_fit else []
    return ", ".join(words)


@rule(
    "no-room-for-pipe",
    severity="must",
    asks="between two fittings there is room for the take-outs of both, the gaps, and some pipe",
    why="The fittings alone are longer than the way they have: nothing can be cut to fit.",
    mend="lengthen this move, or use shorter fittings",
    sources=("ASME B16.9, B16.5, B16.11, B1.20.1 (take-outs)",),
    agreement="follows from the tables of the standards",
    needs="lengths of moves",
)
def no_room_for_pipe(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """No bare pipe between what goes over its ends, by how much it is short, and the shortest arrangements."""
    if hookup.measured is None:
        return
    for straight in hookup.measured.straights:
        cut = hookup.measured.cuts.get(straight.run)
        if not isinstance(cut, Fraction) or not isinstance(straight.centres, Fraction):
            continue
        bare = cut - _covered(straight)
        if bare > 0:
            continue
        between = f"`{straight.parts[0].what}` and `{straight.parts[-1].what}`"
        needed, given = straight.centres - bare, _in(straight.centres)
        if bare:
            message = f"between {between} {given} is {_in(-bare)} too short: they need {_in(needed)}, and some pipe"
        else:
            message = f"between {between} {given} is what they take up: no bare pipe is left"
        yield fault(
            message,
            _where(hookup, straight),
            about=concerned(hookup, hookup.component(straight.a[0]), hookup.component(straight.b[0])),
            notes=(*_follows(straight), Note(f"{_in(needed)} = {_sum(straight)}"), *_shorter(hookup, straight)),
        )


def _follows(straight: Straight) -> Iterator[Note]:
    if straight.how == "from its ends":
        assert isinstance(straight.centres, Fraction)
        yield Note(f"the file leaves this length open: the two ends of its line leave {_in(straight.centres)} for it")


def _in(length: Fraction) -> str:
    """To the 64th: these sums have to add up as they are printed."""
    return format_feet_inches(length, 64)


def _place_of_cut(straight: Straight) -> int:
    return next(n for n, part in enumerate(straight.parts) if part.sort == "cut")


def _covered(straight: Straight) -> Fraction:
    """How much of the pipe goes into what it is joined to: threads, cups, the hubs of slip-on flanges."""
    place = _place_of_cut(straight)
    beside = (straight.parts[place - 1].length, straight.parts[place + 1].length)
    return sum((-length for length in beside if isinstance(length, Fraction) and length < 0), Fraction(0))


def _where(hookup: Hookup, straight: Straight) -> Span:
    """The first move of a straight that has a direction; penetrations and hangers are none."""
    pipe = hookup.component(straight.run).pipe
    moves = pipe.moves if pipe is not None else ()
    return next((move.span for move in moves if move.legs), straight.origin[0])


def _sum(straight: Straight) -> str:
    """What takes up the room, in order; joints that go over the pipe take none of their own."""
    return " + ".join(
        f"{part.what} {_in(part.length)}"
        for part in straight.parts
        if part.sort != "cut" and isinstance(part.length, Fraction) and part.length and not _over_pipe(straight, part)
    )


def _over_pipe(straight: Straight, part: Part) -> bool:
    place = _place_of_cut(straight)
    beside = straight.parts[place - 1] is part or straight.parts[place + 1] is part
    return beside and isinstance(part.length, Fraction) and part.length < 0


def _shorter(hookup: Hookup, straight: Straight) -> Iterator[Note]:
    """Standard arrangements without pipe, and the least each takes between the marks."""
    place = _place_of_cut(straight)
    beside = straight.parts[place - 1], straight.parts[place + 1]
    if all(part.what == "butt weld" for part in beside) and isinstance(beside[0].length, Fraction):
        fixed = (part.length for part in straight.parts if isinstance(part.length, Fraction) and part.sort != "cut")
        least = sum(fixed, Fraction(0)) - beside[0].length
        yield Note(f"fitting to fitting takes {_in(least)}")
        saved = sum((_saved(hookup, part) for part in (straight.parts[0], straight.parts[-1])), Fraction(0))
        if saved:
            yield Note(f"with short radius elbows it takes {_in(least - saved)}")
        return
    necks = _with_weld_necks(hookup, straight)
    if necks is not None and isinstance(straight.centres, Fraction) and necks <= straight.centres:
        yield Note(f"with weld neck flanges on the fittings, without pipe, it takes {_in(necks)} and fits")


def _saved(hookup: Hookup, part: Part) -> Fraction:
    component = hookup.component(part.id)
    if component.kind.name != "elbow" or "short radius" in component.remarks:
        return Fraction(0)
    long, short = weld_elbow(component.size, 90), weld_elbow(component.size, 90, "short")
    end = component.ends.get("in")
    return long - short if long and short and end is not None and end.form == "bevel" else Fraction(0)


def _with_weld_necks(hookup: Hookup, straight: Straight) -> Fraction | None:
    """The length between the marks if every slip-on flange were a weld neck, welded straight to what is behind it."""
    line = hookup.lines[straight.line]
    total = Fraction(0)
    welds = 0
    for part in straight.parts:
        if part.sort == "cut":
            continue
        if part.what in ("slip-on weld", "butt weld"):
            welds += 1
        elif part.what.startswith("slip-on flange"):
            end = next(e for e in hookup.component(part.id).ends.values() if e.form == "flange")
            dims = flange(end.size, end.rating, end.facing, end.metal)
            length = dims.takeout("weld neck") if dims is not None else None
            if length is None:
                return None
            total += length
        elif not isinstance(part.length, Fraction):
            return None
        else:
            total += part.length
    return total + line.spec.weld_gap if welds == 2 else None


@rule(
    "main-in-two-places",
    severity="must",
    asks="the connections of one main lie on one straight line, and no two at one point",
    why="A main runs straight past a unit: two places that no straight main passes, or that are one, were misread.",
    mend="measure the main's connections again",
    sources=("common practice, no source",),
    agreement="a main that turns at the unit is rare; accept the finding there",
    needs="places of two connections of one main",
)
def main_in_two_places(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """Two places of one main that are equal, or differ along more than one line of space."""
    first: dict[str, Place] = {}
    for link in hookup.straights:
        line = hookup.lines.get(link.line)
        if line is None:
            continue
        for id, where in ((link.a, line.start), (link.b, line.end)):
            component = hookup.component(id)
            if component.kind.ports != "main" or where is None:
                continue
            before = first.setdefault(id, where)
            if before is where:
                continue
            apart = sum(a != b for a, b in zip(_at(before), _at(where), strict=True))
            if apart != 1:
                said = "the same place" if not apart else "two places that no straight main passes"
                yield fault(
                    f"the connections of main `{component.tag}` are said to be at {said}",
                    where.span,
                    about=concerned(hookup, component),
                    notes=(Note("the other is here", before.span),),
                )


def _at(place: Place) -> tuple[Fraction, Fraction, Fraction]:
    nought = Fraction(0)
    return (place.right or nought, place.toward or nought, place.up or nought)


@rule(
    "hole-not-met",
    severity="must",
    asks="pipe passes a floor or wall where that is said to be",
    why="The hole is drilled in one place and the pipe comes down in another.",
    mend="measure the hole again, or the moves before it",
    sources=_GEOMETRY,
    agreement="follows from the file alone",
    needs="the place of the floor or wall, and lengths up to it",
)
def hole_not_met(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A penetration with a place, on a straight whose both ends have one in the same frame."""
    if hookup.measured is None:
        return
    straights = {s.run: s for s in hookup.measured.straights if s.run}
    for run, straight in straights.items():
        pipe = hookup.component(run).pipe
        if pipe is None or hookup.measured.islands.get(straight.a) or hookup.measured.islands.get(straight.b):
            continue
        for move in pipe.moves:
            if move.place is None:
                continue
            problem = _passes(move.place, straight, hookup)
            if problem:
                yield fault(
                    f"`{straight.line}` does not pass the {move.through} where that is: {problem}",
                    move.place.span,
                    about=concerned(hookup, hookup.component(run)),
                )


def _passes(place: Place, straight: Straight, hookup: Hookup) -> str:
    """What keeps a straight from passing a place; empty if it passes it."""
    assert hookup.measured is not None
    start, end = hookup.measured.marks[straight.a], hookup.measured.marks[straight.b]
    for axis, said in enumerate((place.right, place.toward, place.up)):
        if said is None:
            continue
        low, high = sorted((start[axis], end[axis]))
        if not low - _NEAR_HOLE <= said <= high + _NEAR_HOLE:
            side = as_drawn(hookup, SIDES[axis][0 if said < low else 1])
            return (
                f"it is {format_feet_inches(low - said if said < low else said - high)} too far {side}{_hand(hookup)}"
            )
    return ""
