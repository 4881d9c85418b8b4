"""Hangers that keep the weight off the coil, and flexible connections."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from ..analysis.hanging import stretches
from ..analysis.legs import Leg
from ..analysis.places import at_coil, line_name
from ..analysis.sections import Sections
from ..analysis.water import legs
from ..catalogue.hangers import spacing
from ..model.finding import Finding
from ..model.hookup import Component, Hookup
from ..model.table import NOT_MEASURED, Unknown
from .registry import Verdict, cannot_tell, fault, no, rule, yes

#: What stands for a hanger on a pipe.
_HANGER = "hanger"
_AXIS = {"up": "z", "down": "z", "left": "x", "right": "x", "toward": "y", "away": "y"}


@rule(
    "coil-carries-pipe",
    severity="must",
    title="Supported",
    asks="each leg of a coil has a hanger of its own within the hanger spacing from the coil",
    why="The headers are soldered to thin tubes: pipe that hangs on them cracks the joints, and drops when the coil is "
    "unbolted.",
    mend="write `hanger` where one stands on this leg, near the coil",
    sources=(
        "six coil and air handler makers' manuals",
        "UFGS 15211",
        "MSS SP-58 / SP-69 (spacing)",
    ),
    agreement="9 sources read for, 0 against",
    needs="`hanger` on the legs, and lengths from the coil to it",
)
def coil_carries_pipe(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The distance along the pipe from the nozzle to the first hanger, against the table at the line's size."""
    drawn = any(c.pipe is not None and _HANGER in c.pipe.marks for c in hookup.components())
    for tag, both in legs(hookup, sections).items():
        for leg in both.values():
            if not drawn:
                yield cannot_tell(tag, "write `hanger` where hangers stand", leg.name)
                continue
            nearest, farthest, span = _first_hanger(hookup, leg)
            if span is None:
                yield cannot_tell(tag, "a size that the hanger table has", leg.name)
            elif farthest is not None and farthest <= span:
                yield yes(tag, f"within {float(span / 12):g} ft", leg.name)
            elif nearest > span:
                line = hookup.lines.get(line_name(tag, leg.name))
                yield no(tag, f"none within {float(span / 12):g} ft", leg.name)
                yield fault(
                    f"no hanger on the {leg.name} of coil `{tag}` within {float(span / 12):g} ft of it",
                    line.span if line is not None else hookup.coils[tag].span,
                    about=(tag,),
                    mend=at_coil(hookup, tag, leg.name, _HANGER),
                )
            elif farthest is None and not _has_hanger(leg):
                yield cannot_tell(tag, f"write `hanger` where the {leg.name} is held, and lengths", leg.name)
            elif farthest is None:
                yield cannot_tell(
                    tag, f"give the lengths between coil `{tag}` and the first hanger on its {leg.name}", leg.name
                )
            else:
                yield cannot_tell(
                    tag, f"give a length on each side of the first hanger on the {leg.name} of coil `{tag}`", leg.name
                )


@rule(
    "flexible-connection-missing",
    severity="should",
    title="Flexible",
    asks="where a coil wants flexible connections, each leg has a flexible connector or a swing joint of three "
    "directions",
    why="A header that grows with heat or shakes with its fan works its soldered joints loose against stiff pipe.",
    mend="put a `flexible connector` on this leg, on the main's side of the hanger, or lead it in three directions",
    sources=("seven coil, air handler and heat pump makers' manuals",),
    agreement="7 sources read for on heating coils and vibrating units; none asks it of quiet cooling coils",
    needs="`flexible connections` in the coil's block; moves, where a swing joint does it",
)
def flexible_connection_missing(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A coil that asks for it, and a leg with nothing that flexes and pipe along fewer than three axes."""
    for tag, both in legs(hookup, sections).items():
        if not hookup.coils[tag].wants_flexible:
            continue
        for leg in both.values():
            found = leg.having("flexes")
            axes = {_AXIS[c.pipe.heading] for c in leg.way if c.pipe is not None and c.pipe.heading in _AXIS}
            if found:
                yield yes(tag, found[0].label, leg.name)
            elif len(axes) == 3:
                yield yes(tag, "swing joint", leg.name)
            elif not axes:
                yield cannot_tell(tag, "a `flexible connector`, or the moves of a swing joint", leg.name)
            else:
                line = hookup.lines.get(line_name(tag, leg.name))
                yield no(tag, "none", leg.name)
                yield fault(
                    f"the {leg.name} of coil `{tag}` has no flexible connector, and no swing joint does for it",
                    line.span if line is not None else hookup.coils[tag].span,
                    about=(tag,),
                    mend=() if _has_hanger(leg) else at_coil(hookup, tag, leg.name, "flexible connector"),
                )


def _from_coil(leg: Leg) -> list[Component]:
    return leg.way[::-1] if leg.name == "supply" else leg.way


def _has_hanger(leg: Leg) -> bool:
    return any(c.pipe is not None and _HANGER in c.pipe.marks for c in leg.way)


def _first_hanger(hookup: Hookup, leg: Leg) -> tuple[Fraction, Fraction | None, Fraction | None]:
    """How near and how far from the coil the first hanger can be, and the greatest spacing there, inches.

    A hanger stands somewhere on its pipe, or just there where lengths stand on both sides of it. Where no hanger
    comes, the first figure is the length of the whole leg, or of what of it is measured. The second is None where a
    length on the way is missing.
    """
    passed, known = Fraction(0), True
    span = None
    way = _from_coil(leg)
    mark, begin = leg.coil, 0
    for end in (*(n for n, c in enumerate(way) if not c.between and c.pipe is None), len(way)):
        after = way[end].id if end < len(way) else leg.main.id if leg.main is not None else ""
        pipes = [c for c in way[begin:end] if c.pipe is not None]
        for pipe in pipes:
            span = span if span is not None else _spacing(hookup, pipe)
        length = _length(hookup, pipes, mark, after)
        far = passed + length if isinstance(length, Fraction) else None
        held = next((c for c in pipes if c.pipe is not None and _HANGER in c.pipe.marks), None)
        if held is not None:
            at, whole = stretches(held, -1 if leg.name == "supply" else 1)
            if isinstance(at, Fraction) and isinstance(whole, Fraction) and 0 < at < whole:
                return passed + at, passed + at if known else None, span
            return passed, far if known else None, span
        known &= far is not None
        passed = far if far is not None else passed
        mark, begin = after, end + 1
    return passed, None, span


def _length(hookup: Hookup, pipes: list[Component], mark: str, after: str) -> Fraction | Unknown:
    """From one mark to the next: all of it is the length of its run, else what its pieces add up to."""
    runs = [c.pipe.length for c in pipes if c.pipe is not None and c.pipe.moves]
    if runs:
        known = [length for length in runs if isinstance(length, Fraction)]
        return sum(known, Fraction(0)) if len(known) == len(runs) else NOT_MEASURED
    straights = hookup.measured.straights if hookup.measured is not None else ()
    found = next((s.centres for s in straights if {s.a[0], s.b[0]} == {mark, after}), NOT_MEASURED)
    return found if pipes or isinstance(found, Fraction) else Fraction(0)


def _spacing(hookup: Hookup, pipe: Component) -> Fraction | None:
    """The table's spacing for a piece of pipe, inches."""
    line = hookup.lines.get(pipe.line)
    return spacing(line.spec.row(pipe.size), pipe.size) if line is not None else None
