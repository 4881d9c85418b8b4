"""Where a line leaves its main, and how a coil's glycol is filled round."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from ..analysis.legs import Leg, branch_of, is_shutoff
from ..analysis.places import above, is_asked, line_name
from ..analysis.sections import Sections
from ..analysis.water import legs
from ..model.finding import Finding
from ..model.hookup import OPPOSITE, Hookup
from ..model.quantity import format_feet_inches
from .registry import Verdict, cannot_tell, fault, no, rule, yes


@rule(
    "riser-off-bottom",
    severity="note",
    title="Takeoff",
    asks="a line that feeds up leaves its main at the top or the side",
    why="Dirt that slides along the bottom of a main settles into a line that leaves it there, and one that turns up "
    "again keeps it. A line off the top collects air instead, which its vent lets out.",
    mend="take the line off the top or the side of the main",
    sources=(
        "University of North Carolina piping guideline (side or top, never the bottom)",
        "State of Delaware project manual 23 21 13, part 3 (off the bottom, but up-feed risers off the top)",
    ),
    agreement="2 for lines that feed up; for all others 1 for the bottom, 1 against",
    needs="the moves between each main and its coil, with the lengths of those up and down",
)
def riser_off_bottom(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The direction of the pipe at the main, as seen away from it, and how far up and down the leg goes."""
    for tag, both in legs(hookup, sections).items():
        for leg in both.values():
            if leg.main is None:
                continue
            runs = _away_from_main(leg)
            first = runs[0][0] if runs else ""
            rise = _rise(runs)
            if not first:
                yield cannot_tell(tag, "say which way the line leaves its main, such as `left`", leg.name)
            elif first != "down":
                yield yes(tag, "off the top: collects air" if first == "up" else "off the side", leg.name)
            elif rise is None:
                yield cannot_tell(tag, "give the lengths of the moves up and down", leg.name)
            elif rise <= 0:
                yield yes(tag, "off the bottom: collects dirt", leg.name)
            else:
                line = hookup.lines.get(line_name(tag, leg.name))
                yield no(tag, "off the bottom, and up", leg.name)
                yield fault(
                    f"the {leg.name} of coil `{tag}` leaves main `{leg.main.tag}` at the bottom and goes up "
                    f"{format_feet_inches(rise)} from there",
                    line.span if line is not None else hookup.coils[tag].span,
                    about=(tag, leg.main.tag),
                )


@rule(
    "fill-pair-missing",
    severity="note",
    asks="on a glycol coil one shutoff has a drain on each of its sides, to fill and flush the coil one way round",
    why="With the shutoff closed mixed glycol goes in at one drain and air and dirt come out at the other; without "
    "the pair the coil is filled against its own air.",
    mend="put a `drain 3/4` on the main's side of the supply shutoff",
    sources=("UFC 3-440-01 appendix E, item 14 (solar loops)",),
    agreement="1 source read, on another kind of loop; good practice on glycol coils",
)
def fill_pair_missing(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A glycol coil with no shutoff on its legs that stands between two drains."""
    for tag, both in legs(hookup, sections).items():
        service = hookup.services.get(hookup.coils[tag].service)
        if service is None or "glycol" not in service.fluid:
            continue
        if any(_has_pair(hookup, sections, leg) for leg in both.values()):
            continue
        supply = both["supply"]
        at = supply.shutoff()
        shutoff = supply.way[at] if at is not None else None
        yield fault(
            f"glycol cannot be pushed one way round through coil `{tag}`: no shutoff has a drain on each side",
            hookup.coils[tag].span,
            about=(tag,),
            mend=above(shutoff, "drain 3/4") if shutoff is not None and is_asked(shutoff) else (),
        )


def _away_from_main(leg: Leg) -> list[tuple[str, Fraction | None]]:
    """Direction and length of the pipe of the line at a leg's main, as seen away from it; empty if something stands at
    the main before any pipe. No direction or length: not said."""
    way = leg.way if leg.name == "supply" else leg.way[::-1]
    first = next((c for c in way if c.pipe is not None or c.kind.group != "fittings"), None)
    if first is None or first.pipe is None:
        return []
    found: list[tuple[str, Fraction | None]] = []
    for pipe in [c.pipe for c in way if c.pipe is not None and c.line == first.line]:
        heading = pipe.heading if leg.name == "supply" else OPPOSITE.get(pipe.heading, "")
        found.append((heading, pipe.length if isinstance(pipe.length, Fraction) else None))
    return found


def _rise(runs: Sequence[tuple[str, Fraction | None]]) -> Fraction | None:
    """How far up some pipe goes in all, inches; zero if none of it goes up, None if a length up or down is not said."""
    if not any(heading == "up" for heading, _ in runs):
        return Fraction(0)
    plumb = [(1 if heading == "up" else -1, length) for heading, length in runs if heading in ("up", "down")]
    if any(length is None for _, length in plumb):
        return None
    return sum((sign * (length or Fraction(0)) for sign, length in plumb), Fraction(0))


def _has_pair(hookup: Hookup, sections: Sections, leg: Leg) -> bool:
    """Whether a shutoff of a leg stands between two drains."""
    drains = [
        n
        for n, component in enumerate(leg.way)
        if component.kind.ports == "tee" and any(c.role == "drain" for c in branch_of(hookup, sections, component))
    ]
    return bool(drains) and any(is_shutoff(c) for c in leg.way[drains[0] : drains[-1]])
