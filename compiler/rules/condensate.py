"""The condensate trap of a coil and the line behind it, as far as the file tells of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from math import ceil

from ..analysis.sections import Sections
from ..catalogue.condensate import least_size, trap_depths
from ..catalogue.limits import limit
from ..model.condensate import Condensate
from ..model.finding import Finding, Note
from ..model.hookup import Hookup
from ..model.mend import write
from ..model.quantity import format_feet_inches as feet_inches
from .registry import Verdict, cannot_tell, fault, rule, yes

_DEPTH = ("two air handler makers' manuals (drop and seal from the static pressure at the pan)",)


@rule(
    "condensate-trap-shallow",
    severity="must",
    title="Condensate trap",
    asks="the trap is deep enough for the static pressure at the pan: drawn through, the drop is the static and 1 in "
    "more, and the seal half the drop; blown through, the drop is 1/2 in and the seal the static and 1/2 in more",
    why="A fan that is stronger than the trap sucks it dry or blows it out: the pan runs over, or air goes through it.",
    mend="make the trap deeper",
    sources=_DEPTH,
    agreement="2 makers with the same figures, 3 kit sheets with less",
    needs="`draw-through 3 in wg` or `blow-through 2 in wg`, and `condensate trap 1, drop 4 in, seal 2 in`, in the "
    "coil's block",
)
def condensate_trap_shallow(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """Drop and seal of the trap against what the static pressure asks for."""
    for tag, said in _declared(hookup):
        if said.draws is None or said.static_inwg is None:
            yield cannot_tell(tag, "say `draw-through 3 in wg` or `blow-through 2 in wg`, with dirty filters")
            continue
        if said.drop_in is None or said.seal_in is None:
            yield cannot_tell(tag, "say how deep it is: `condensate trap 1, drop 4 in, seal 2 in`")
            continue
        drop, seal = trap_depths(said.static_inwg, draws=said.draws)
        if said.draws:
            seal = max(seal, said.drop_in * limit("trap seal"))
        short = [
            f"{what} of {feet_inches(has)} where {feet_inches(need)} are asked for"
            for what, has, need in (("a drop", said.drop_in, drop), ("a seal", said.seal_in, seal))
            if has < need
        ]
        if not short:
            yield yes(tag, f"drop {feet_inches(said.drop_in)}, seal {feet_inches(said.seal_in)}")
            continue
        way = "drawn" if said.draws else "blown"
        drop = _up(max(drop, said.drop_in))
        seal = _up(max(seal, said.seal_in, drop * limit("trap seal") if said.draws else Fraction(0)))
        new = f"condensate trap {said.trap or 1}, drop {feet_inches(drop)}, seal {feet_inches(seal)}"
        yield fault(
            f"the condensate trap of coil `{tag}` has {' and '.join(short)}",
            said.places["trap"],
            about=(tag,),
            notes=(Note(f"the air is {way} through at {said.static_inwg:g} in wg", said.places["static"]),),
            mend=write(said.places["trap"], new),
        )


@rule(
    "condensate-line-small",
    severity="must",
    title="Condensate size",
    asks="trap and line are no smaller than the outlet of the pan, and NPS 3/4 or larger",
    why="Slime and dust off the coil stop a small line, and the pan runs over.",
    mend="make the trap as large as the outlet",
    sources=("two unit makers' manuals (not below the outlet)", "UFGS 15895 (NPS 3/4)"),
    agreement="2 sources read for the outlet's size, 1 for NPS 3/4",
    needs="`condensate outlet 1` and `condensate trap 1` in the coil's block",
)
def condensate_line_small(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The size of the trap against that of the pan's outlet and the least size."""
    for tag, said in _declared(hookup):
        least = least_size(said.outlet)
        if said.trap is None:
            yield cannot_tell(tag, "say its size: `condensate trap 1`")
        elif least is not None and said.trap < least:
            yield fault(
                f"the condensate trap of coil `{tag}` is size {said.trap}, where {least} is the least",
                said.places["trap"],
                about=(tag,),
                mend=write(said.places["trap"], f"condensate trap {least}", f"condensate trap {said.trap}"),
            )
        elif said.outlet is None:
            yield cannot_tell(tag, "say the size of the pan's outlet: `condensate outlet 1`")
        else:
            yield yes(tag, f"size {said.trap}")


@rule(
    "condensate-line-flat",
    severity="must",
    title="Condensate slope",
    asks="the condensate line falls 1/8 in or more per foot",
    why="Condensate has no pressure behind it: in a flat line it stands, and slime stops it.",
    mend="write `condensate pitch 1/8 in per ft`, and hang the line so",
    sources=("three unit makers' manuals (1/8 in per ft; a fourth 1/4)", "IMC 307.2, from memory"),
    agreement="3 sources read for 1/8 in, 1 for 1/4 in",
    needs="`condensate pitch 1/8 in per ft` in the coil's block",
)
def condensate_line_flat(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The pitch that the file gives."""
    for tag, said in _declared(hookup):
        if said.pitch is None:
            yield cannot_tell(tag, "say `condensate pitch 1/8 in per ft`")
        elif said.pitch < limit("condensate slope"):
            yield fault(
                f"the condensate line of coil `{tag}` falls {feet_inches(said.pitch)} per ft; "
                f"{feet_inches(limit('condensate slope'))} are the least",
                said.places["pitch"],
                about=(tag,),
                mend=write(said.places["pitch"], "condensate pitch 1/8 in per ft"),
            )
        else:
            yield yes(tag, f"{feet_inches(said.pitch)} per ft")


def _declared(hookup: Hookup) -> Iterator[tuple[str, Condensate]]:
    """The coils whose block tells anything of condensate. Whether another coil makes any is not in the file."""
    for tag, facts in hookup.coils.items():
        if facts.condensate is not None:
            yield tag, facts.condensate


def _up(inches: Fraction) -> Fraction:
    """To the next eighth of an inch that is no less."""
    return Fraction(ceil(inches * 8), 8)
