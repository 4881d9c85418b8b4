"""Strainers: which way the dirt falls, and how fine the screen is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from ..analysis.saying import called
from ..analysis.sections import Sections
from ..analysis.water import legs
from ..catalogue.limits import limit
from ..model.finding import Finding, Note
from ..model.hookup import Component, Hookup
from ..model.mend import write
from ..model.quantity import format_feet_inches
from ..model.size import Size
from .registry import Verdict, cannot_tell, concerned, fault, rule, yes


@rule(
    "strainer-in-upflow",
    severity="should",
    title="Strainer leg",
    asks="no strainer stands where water rises: its leg points down or sideways",
    why="In rising flow the leg of a strainer points up: dirt falls back into the pipe when the flow stops, and the "
    "blowdown drains nothing.",
    mend="move the strainer to a level run, with its leg down",
    sources=("common practice, no source",),
    agreement="1 government text on the arrow cast on the body, none read on the leg",
    needs="moves, up to the strainer",
)
def strainer_in_upflow(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The direction of the line where a strainer stands; the file writes a line in flow order."""
    for tag, strainers in _strainers(hookup, sections):
        rising = [c for c in strainers if c.heading == "up"]
        for strainer in rising:
            yield fault(
                f"water rises through `{strainer.label}`, so that its leg points up",
                strainer.origin[0],
                about=(tag, *concerned(hookup, strainer)),
            )
        if not rising and all(c.heading for c in strainers):
            yield yes(tag, ", ".join(called(c) for c in strainers))
        elif not rising:
            yield cannot_tell(tag, "say which way the line runs at the strainer, such as `left`")


@rule(
    "strainer-screen-coarse",
    severity="note",
    title="Screen",
    asks="the holes of a strainer's screen are no wider than 1/16 in to NPS 3 and 1/8 in above",
    why="What a wider hole lets through lodges in the seat of a control valve.",
    mend="order the strainer with a finer screen",
    sources=(
        "UFGS 15741 (0.045 in to NPS 3, 0.125 in from NPS 4)",
        "a university's standard section 15515 (1/16 in to NPS 4, 1/8 in above)",
        "a fan-coil maker's kit sheet (20 mesh)",
    ),
    agreement="no two texts agree; the widest that any of them allows is kept",
    needs="the holes behind each strainer, such as `1/16 in holes`",
)
def strainer_screen_coarse(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The holes that the file gives for a strainer against the widest that a text allows for its size."""
    for tag, strainers in _strainers(hookup, sections):
        coarse = [c for c in strainers if c.fitted.holes_in is not None and c.fitted.holes_in > _widest(c.size)]
        for strainer in coarse:
            widest = format_feet_inches(_widest(strainer.size))
            said = next((remark for remark in strainer.remarks if remark.endswith(" holes")), "")
            yield fault(
                f"the screen of `{strainer.label}` has {said}, where {widest} are the widest",
                strainer.origin[0],
                about=(tag, *concerned(hookup, strainer)),
                notes=(Note("other texts ask for finer ones; the maker of the control valve decides"),),
                mend=write(strainer.origin[0], f"{widest} holes", said) if said else (),
            )
        if not coarse and all(c.fitted.holes_in is not None for c in strainers):
            yield yes(tag, ", ".join(called(c) for c in strainers))
        elif not coarse:
            yield cannot_tell(tag, "say the holes of its screen, such as `1/16 in holes`")


def _widest(size: Size) -> Fraction:
    """The widest hole that a text allows, inches."""
    return limit("screen") if size.inches <= limit("screen to") else limit("screen above")


def _strainers(hookup: Hookup, sections: Sections) -> Iterator[tuple[str, list[Component]]]:
    """Each coil with strainers on its legs, and those not told of at a coil before."""
    seen: set[str] = set()
    for tag, both in legs(hookup, sections).items():
        found = [c for leg in both.values() for c in leg.having("strains") if c.id not in seen]
        seen |= {c.id for c in found}
        if found:
            yield tag, found
