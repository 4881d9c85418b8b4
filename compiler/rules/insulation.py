"""Insulation against the energy code, and holes that are wide enough for it."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from ..analysis.places import SIDES
from ..analysis.sections import Sections
from ..catalogue.dimensions import outside
from ..catalogue.limits import least_insulation
from ..catalogue.penetrations import hole_for, sleeve_for
from ..model.finding import Finding
from ..model.hookup import Hookup, LineInfo, Move, Place
from ..model.mend import Mend, write
from ..model.quantity import format_feet_inches
from ..passes.mirror import as_drawn
from .registry import Verdict, cannot_tell, concerned, fault, rule, yes


@rule(
    "insulation-thin",
    severity="must",
    title="Insulation",
    asks="pipe is insulated at least as the energy code asks for its temperature and size",
    why="The code sets the least for the energy that is lost; chilled pipe outdoors or in damp rooms may need more to "
    "stay dry.",
    mend="write the thickness in the service's block, such as `insulate 2 in`",
    sources=(
        "ASHRAE 90.1-2010 tables 6.8.3A and 6.8.3B, most cells from memory",
        "Washington State energy code WAC 51-11C-40328 (exemptions)",
    ),
    agreement="3 texts of one model code",
    needs="`design` temperatures and `insulate` in the service's block",
)
def insulation_thin(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The thickness of each service against the table, at the largest size of its lines."""
    for name in dict.fromkeys(line.service for line in hookup.lines.values()):
        service = hookup.services.get(name)
        if service is None:
            continue
        lines = [line for line in hookup.lines.values() if line.service == name]
        coils = tuple(dict.fromkeys(line.coil for line in lines if line.coil in hookup.coils))
        if service.low_f is None or service.high_f is None:
            yield from (cannot_tell(tag, f"say `design` temperatures of {name}") for tag in coils)
            continue
        needs = {line.size: least_insulation(line.size, service.low_f, service.high_f) for line in lines}
        size, least = max(needs.items(), key=lambda item: item[1])
        if not least:
            yield from (yes(tag, "none asked for") for tag in coils)
        elif service.insulation_in is None:
            yield from (
                cannot_tell(tag, f"say how {name} is insulated: {format_feet_inches(least)} at least") for tag in coils
            )
        elif service.insulation_in >= least:
            yield from (yes(tag, format_feet_inches(service.insulation_in)) for tag in coils)
        else:
            yield fault(
                f"`{name}` is insulated {format_feet_inches(service.insulation_in)}; at {service.low_f:g} to "
                f"{service.high_f:g} F pipe of size {size} needs {format_feet_inches(least)}",
                service.origin[0],
                about=coils,
                mend=write(service.places["insulate"], f"insulate {format_feet_inches(least)}"),
            )


@rule(
    "hole-tight",
    severity="should",
    title="Holes",
    asks="a hole or sleeve leaves 1/4 in all round the pipe or its insulation",
    why="Without the gap the insulation is cut at the wall: chilled pipe sweats there, and pipe that moves rubs.",
    mend="make the hole or sleeve wider",
    sources=("UFGS 15652 (1/4 in all round between sleeve and pipe or jacketed insulation)",),
    agreement="1 source for the figure, a rule of thumb of another gives more",
    needs="`through floor, hole 6` and `insulate` in the service's block",
)
def hole_tight(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The inside of each hole against pipe, insulation and gap."""
    for component in hookup.components():
        pipe, line = component.pipe, hookup.lines.get(component.line)
        if pipe is None or line is None or not pipe.through:
            continue
        coils = [line.coil] if line.coil in hookup.coils else []
        insulation = hookup.services[line.service].insulation_in if line.service in hookup.services else None
        row = line.spec.row(component.size)
        od = outside(component.size, row.metal) if row is not None else None
        for move in (move for move in pipe.moves if move.through):
            what, hole = move.through, move.hole_in
            if hole is None:
                yield from (cannot_tell(tag, f"say the hole: `through {what}, hole 6`") for tag in coils)
            elif od is None or insulation is None:
                missing = "its insulation" if insulation is None else "a pipe of a known outside diameter"
                yield from (cannot_tell(tag, f"say {missing}") for tag in coils)
            else:
                need = hole_for(od, insulation)
                if hole >= need:
                    yield from (yes(tag) for tag in coils)
                else:
                    yield fault(
                        f"the hole through the {what} is {float(hole):.2f} in wide; pipe {component.size} with "
                        f"{format_feet_inches(insulation)} of insulation needs {float(need):.2f} in",
                        move.span,
                        about=concerned(hookup, component),
                        mend=_wider(hookup, move, line, need),
                    )


def _wider(hookup: Hookup, move: Move, line: LineInfo, need: Fraction) -> Mend:
    """A sleeve of the first size of pipe that is wide enough, in the line of the file that says the hole; none where
    that stands in a library's assembly."""
    sleeve = sleeve_for(need)
    if sleeve is None or move.span.file != line.span.file:
        return ()
    where = f", {_said(hookup, move.place)}" if move.place is not None else ""
    return write(move.span, f"through {move.through}, hole {sleeve}{where}")


def _said(hookup: Hookup, place: Place) -> str:
    """A place as a file says it: `at left 3 in, up 0 in`, in the hand that the file is drawn in."""
    words = []
    for value, (onward, back) in zip((place.right, place.toward, place.up), SIDES, strict=True):
        if value is not None:
            words.append(f"{as_drawn(hookup, onward if value >= 0 else back)} {format_feet_inches(abs(value), 64)}")
    return f"at {', '.join(words)}"
