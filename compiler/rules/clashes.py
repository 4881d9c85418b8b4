"""Two pieces in one place, insulation that has no room, and pipe in the cabinet or where a coil is pulled out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Set
from fractions import Fraction
from math import inf

from ..analysis.overlap import Box, depth_in_box
from ..analysis.pairs import LEAST, Clash, clashes, solids
from ..analysis.places import SIDES
from ..analysis.sections import Sections
from ..analysis.solids import Solid
from ..model.finding import Finding, Note
from ..model.hookup import Hookup, Room
from ..model.measured import Point
from ..model.quantity import format_feet_inches
from .registry import Verdict, cannot_tell, concerned, fault, rule, yes

_GEOMETRY = ("geometry: two solids do not fit in one place",)


@rule(
    "pieces-clash",
    severity="must",
    asks="no two pieces are in the same place",
    why="What the lengths put in one place cannot both be built there: somebody finds out with the pipe in hand.",
    mend="lengthen or shorten a move of one of the two lines, or turn the stem, so that they clear each other",
    sources=_GEOMETRY,
    agreement="follows from the file and the tables of the standards",
    needs="lengths of moves, and places (`at right 14 in, up 6 in`) that tie both lines together; for stems "
    "`stem up 14 in` and `9 in handwheel`",
)
def pieces_clash(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """Pairs of bare solids that stand in one another, but for those that follow each other along a line."""
    for clash in clashes(hookup, sections):
        if clash.bare:
            told = f"are in the same place: they overlap by {_length(clash.depth)}"
            yield _between(hookup, clash, told)


@rule(
    "insulation-overlaps",
    severity="should",
    asks="there is room for the insulation of neighbouring pieces",
    why="Insulation that has no room is cut away or pressed flat, and there a cold line sweats.",
    mend="lengthen or shorten a move of one of the two lines, so that both can be insulated all round",
    sources=("common practice, no source",),
    agreement="some insulate two lines together where both are equally cold; accept the finding there",
    needs="lengths of moves, and `insulate 2 in` in the service's block",
)
def insulation_overlaps(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """Pairs that clear each other bare, and not with their insulation on."""
    for clash in clashes(hookup, sections):
        if not clash.bare:
            told = f"have no room for their insulation: it overlaps by {_length(clash.depth)}"
            yield _between(hookup, clash, told)


def _between(hookup: Hookup, clash: Clash, told: str) -> Finding:
    a, b = sorted(
        (clash.a, clash.b), key=lambda solid: (solid.component.origin[0].file, solid.component.origin[0].line)
    )
    where = (Note(f"there: {_where(hookup, clash.at)}"),) if not clash.a.island else ()
    return fault(
        f"{_named(a)} and {_named(b)} {told}",
        b.component.origin[0],
        about=concerned(hookup, a.component, b.component),
        notes=(*where, Note("the other is here", a.component.origin[0])),
    )


@rule(
    "into-the-cabinet",
    severity="must",
    asks="no pipe, and no insulation on it, runs into the cabinet",
    why="The wall of the cabinet stands there.",
    mend="move the line away from the cabinet, or write `through cabinet` where it goes through its wall",
    sources=_GEOMETRY,
    agreement="follows from the file and the tables of the standards",
    needs="`cabinet 72 in wide, 60 in high, at left 4 in, down 6 in`, and lengths and places of the lines",
)
def into_the_cabinet(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """Solids in the cabinet, but for straights that end at a coil or go through its wall; the deepest of each line."""
    cabinet = hookup.cabinet
    if cabinet is None:
        return
    box, own = _box(cabinet, behind=True), _through_its_wall(hookup)
    for solid, deep in _in_box((s for s in solids(hookup, sections).all if not s.straights & own), box):
        insulated = depth_in_box(solid.shape, box) <= LEAST
        yield fault(
            f"{'the insulation of ' if insulated else ''}{_named(solid)} reaches {_length(deep)} into the cabinet",
            solid.component.origin[0],
            about=concerned(hookup, solid.component),
            notes=(Note(f"there: {_where(hookup, solid.shape.middle)}"), Note("the cabinet is here", cabinet.span)),
        )


def _through_its_wall(hookup: Hookup) -> set[int]:
    """The straights that may run into the cabinet, by their number."""
    made = set()
    for number, straight in enumerate(hookup.measured.straights if hookup.measured is not None else ()):
        ends = (hookup.component(straight.a[0]), hookup.component(straight.b[0]))
        pipe = hookup.component(straight.run).pipe if straight.run else None
        through = pipe is not None and any("cabinet" in what.split() for what in pipe.through)
        if through or any(end.kind.ports == "coil" for end in ends):
            made.add(number)
    return made


@rule(
    "pull-space-blocked",
    severity="should",
    title="Can be pulled",
    asks="what stays when a coil comes out is clear of the space that it is pulled through",
    why="A coil that is changed slides out through this space; what is fixed in its way has to be cut first.",
    mend="offset this line out of the pull space",
    sources=("VA HVAC Design Manual, coils (piping is offset and valved, so that a coil can be drawn)",),
    agreement="3 sources for it; how much room beside the coil's own length is common practice, no source",
    needs="`pull space 40 in wide, 36 in high, 8 ft deep, at right 4 in` in the coil's block, and lengths and places",
)
def pull_space_blocked(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """Solids in the pull space of a coil that do not come off between its shutoffs and itself."""
    if hookup.measured is None or not any(not solid.island for solid in solids(hookup, sections).all):
        return
    for tag, coil in hookup.coils.items():
        if coil.pull_space is None:
            yield cannot_tell(tag, "say `pull space 40 in wide, 36 in high, 8 ft deep` in its block")
            continue
        loose = _comes_off(sections, tag)
        if loose is None:
            yield cannot_tell(tag, "give the coil its shutoffs")
            continue
        box = _box(coil.pull_space, behind=False)
        fixed = (s for s in solids(hookup, sections).all if s.component.id not in loose and not s.component.role)
        blocked = False
        for solid, deep in _in_box(fixed, box):
            blocked = True
            where = f"{_length(deep)} into the pull space of coil `{tag}`"
            yield fault(
                f"{_named(solid)} reaches {where}, and stays when the coil comes out",
                solid.component.origin[0],
                about=(tag,),
                notes=(
                    Note(f"there: {_where(hookup, solid.shape.middle)}"),
                    Note("the pull space is here", coil.pull_space.span),
                ),
            )
        if not blocked:
            yield yes(tag, "nothing fixed in its pull space")


def _comes_off(sections: Sections, coil: str) -> Set[str] | None:
    """What can be taken off with the coil's shutoffs shut; None if these do not part it from the mains."""
    section = sections.of(sections.place(coil, "supply"))
    return None if section.mains else {component.id for component in section.components}


def _box(room: Room, *, behind: bool) -> Box:
    face = float(room.face)
    deep = inf if room.deep is None else float(room.deep)
    near, far = (face - deep, face) if behind else (face, face + deep)
    return Box(
        (float(room.left), near, float(room.bottom)),
        (float(room.right), far, float(room.top)),
    )


def _in_box(all: Iterable[Solid], box: Box) -> Iterator[tuple[Solid, float]]:
    """Solids of the bench mark's frame that stand in a box with their insulation on; the deepest of each line."""
    deepest: dict[str, tuple[Solid, float]] = {}
    for solid in all:
        if solid.island or not _meet(solid.dressed.bounds, box):
            continue
        deep = depth_in_box(solid.dressed, box)
        line = solid.component.line
        if deep > LEAST and (line not in deepest or deep > deepest[line][1] + LEAST):
            deepest[line] = (solid, deep)
    yield from deepest.values()


def _meet(bounds: tuple[Point, Point], box: Box) -> bool:
    low, high = bounds
    return all(a < b and c < d for a, b, c, d in zip(low, box.high, box.low, high, strict=True))


# -- words -------------------------------------------------------------------------------------------------------------


def _named(solid: Solid) -> str:
    """`pipe 3` of `supply to CC`; the stem of `BV-1`."""
    component = solid.component
    part = f"the {solid.what} of " if solid.what else ""
    return f"{part}`{component.label}`" + ("" if component.tag else f" of `{component.line}`")


def _length(inches: float) -> str:
    """To the nearest sixteenth, and at least one."""
    return format_feet_inches(Fraction(max(1, round(inches * 16)), 16))


def _where(hookup: Hookup, at: Point) -> str:
    """`1 ft 2 in right, 3 in toward, 2 ft up from the bench mark`, to the nearest half inch; as the file draws it."""
    words = []
    if hookup.mirrored:
        at = (-at[0], at[1], at[2])
    for value, (onward, back) in zip(at, SIDES, strict=True):
        halves = round(value * 2)
        if halves:
            words.append(f"{format_feet_inches(Fraction(abs(halves), 2))} {onward if halves > 0 else back}")
    return f"{', '.join(words) or 'nought'} from the bench mark"
