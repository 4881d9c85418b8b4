"""Balancing devices: where they stand, straight pipe on both sides, no two that fight."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from math import ceil

from ..analysis.legs import Leg, is_shutoff
from ..analysis.places import above, below, inside, is_asked, move
from ..analysis.sections import Sections
from ..analysis.water import is_behind_shutoff, is_in_loop, legs, shared
from ..catalogue.limits import limit
from ..model.finding import Finding, Note
from ..model.hookup import Component, Hookup
from ..model.mend import Mend, take_out
from ..passes.mirror import as_drawn
from .registry import Verdict, cannot_tell, concerned, fault, rule, yes

_SOURCES = (
    "balancing valve makers' instructions",
    "air handler makers' manuals (coil connections)",
    "a control valve maker's guide",
)
#: Fittings that leave the flow as it is.
_SMOOTH = ("coupling", "union", "dielectric union", "nipple")


@rule(
    "balancing-missing",
    severity="should",
    liquid=True,
    title="Balancing",
    asks="each coil's own branch has one balancing device, on the return and inside the shutoff",
    why="Without it the coil next to the pump takes the water of the ones behind it, and nobody can measure or set "
    "what a coil gets.",
    mend="put a `balancing valve` on the return, between the coil and the shutoff",
    sources=_SOURCES,
    agreement="6 sources read for, 0 against; one doubts the need beside a modulating two-way valve",
)
def balancing_missing(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """No component that balances on the coil's own part of the return, nor a pressure-independent valve on either."""
    counts = shared(hookup, sections)
    for tag, both in legs(hookup, sections).items():
        found = [(leg, n, c) for leg in both.values() for n, c in leg.placed("balances") if counts[c.id] == 1]
        right = [
            c
            for leg, n, c in found
            if c.kind.can("controls")
            or is_in_loop(both)
            or (leg.name == "return" and (leg.main is None or is_behind_shutoff(leg, n)))
        ]
        if not right:
            right = _stops(both["return"], counts)
        if right:
            yield yes(tag, ", ".join(c.label for c in right))
        elif found:
            leg, _, device = found[0]
            where = "on the supply" if leg.name == "supply" else "on the main's side of the shutoff"
            mend = _moved(hookup, both["return"], device)
            yield fault(
                f"`{device.label}` stands {where}", device.origin[0], about=concerned(hookup, device), mend=mend
            )
        else:
            at = both["return"].shutoff()
            mend = inside(hookup, "return", both["return"].way[at], "balancing valve") if at is not None else ()
            yield fault(f"nothing balances the flow of coil `{tag}`", hookup.coils[tag].span, about=(tag,), mend=mend)


def _moved(hookup: Hookup, back: Leg, device: Component) -> Mend:
    at = back.shutoff()
    if at is None or not (is_asked(device) and is_asked(back.way[at])):
        return ()
    return move(hookup, device, "above", back.way[at])


@rule(
    "ball-valve-balances",
    severity="note",
    asks="a balancing valve sets the flow, not a ball valve with a memory stop",
    why="A ball valve sets the flow in the first quarter of its travel and is measured by nothing; its stop is what "
    "finds the setting again after a repair.",
    mend="put a `balancing valve` on the return, or keep the ball valve and note where its stop is set",
    sources=(
        "University of Iowa Hospitals design standard (against)",
        "two heat pump makers' manuals and a fan-coil maker's kit sheet (ball valves with memory stops)",
    ),
    agreement="1 against ball valves, 3 show them on small units",
)
def ball_valve_balances(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A coil's return whose only balancing device is a shutoff with a memory stop."""
    counts = shared(hookup, sections)
    for tag, both in legs(hookup, sections).items():
        stops = _stops(both["return"], counts)
        if stops and not any(counts[c.id] == 1 for leg in both.values() for c in leg.having("balances")):
            yield fault(
                f"a shutoff alone, `{stops[0].label}`, sets the flow of coil `{tag}`",
                stops[0].origin[0],
                about=(tag, *concerned(hookup, stops[0])),
            )


@rule(
    "balancing-doubled",
    severity="note",
    asks="a coil with a pressure-independent control valve has no other balancing device",
    why="The valve holds the flow itself; a second device only takes pressure from it.",
    mend="take the other balancing device out, or leave it wide open for measuring",
    sources=("three makers' guides to pressure-independent valves",),
    agreement="3 sources read for, 0 against",
)
def balancing_doubled(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A component that controls and balances, and another that balances, on one coil's own legs."""
    counts = shared(hookup, sections)
    for tag, both in legs(hookup, sections).items():
        found = [c for leg in both.values() for c in leg.having("balances") if counts[c.id] == 1]
        both_jobs = [c for c in found if c.kind.can("controls")]
        for other in [c for c in found if both_jobs and not c.kind.can("controls")]:
            yield fault(
                f"`{both_jobs[0].label}` already holds the flow of coil `{tag}` that `{other.label}` is to set",
                other.origin[0],
                about=concerned(hookup, other, both_jobs[0]),
                mend=take_out(other.origin[0]) if is_asked(other) else (),
            )


@rule(
    "balancing-in-disturbed-flow",
    severity="should",
    title="Straight pipe",
    asks="straight pipe of 5 diameters stands before a balancing valve (10 after a pump, 3 at the very least) and 2 "
    "behind it",
    why="Its reading is taken from the pressure across the seat; an elbow or valve close by makes it wrong.",
    mend="move the balancing valve along the straight, or order one whose maker allows less and accept this finding",
    sources=("a balancing valve maker's instructions (3 diameters)", "common practice for 5, 2 and 10, from memory"),
    agreement="1 source read; wider figures are in use",
    needs="lengths on both sides of the valve",
)
def balancing_in_disturbed_flow(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """Pipe between a device that is measured on and the next fitting on both sides, in nominal diameters."""
    counts = shared(hookup, sections)
    for tag, both in legs(hookup, sections).items():
        for leg in both.values():
            for n, device in leg.placed("balances"):
                if device.kind.can("measures") and counts[device.id] == 1:
                    yield from _straight(hookup, tag, leg, n)


def _stops(leg: Leg, counts: Mapping[str, int]) -> list[Component]:
    """A coil's own shutoffs on a leg whose stop keeps its setting: of a small unit, they seal and set the flow."""
    own = [c for c in leg.having("isolates") if is_shutoff(c) and counts[c.id] == 1]
    return [c for c in own if "with memory stop" in c.remarks and c.size.inches <= limit("ball balances to")]


def _straight(hookup: Hookup, coil: str, leg: Leg, at: int) -> Iterable[Finding | Verdict]:
    device = leg.way[at]
    before, behind = run_to_fitting(leg.way[:at][::-1]), run_to_fitting(leg.way[at + 1 :])
    from_pump = before[1] is not None and before[1].kind.can("pumps")
    needs = (
        limit("straight after pump" if from_pump else "straight before balancing"),
        limit("straight after balancing"),
    )
    short = False
    for (length, fitting), need, where in zip((before, behind), needs, ("before", "behind"), strict=True):
        if length is None or fitting is None or length >= need * device.size.inches:
            continue
        short = True
        diameters = length / device.size.inches
        yield fault(
            f"only {float(diameters):.1f} diameters of straight pipe {where} `{device.label}`, up to "
            f"`{fitting.label}`: {need} are asked for",
            device.origin[0],
            about=concerned(hookup, device),
            notes=(Note(f"`{fitting.label}` is here", fitting.origin[0]),),
            mend=_longer(hookup, device, where, need * device.size.inches - length),
        )
    if not short and (before[0] is None or behind[0] is None):
        sides = " and ".join(w for w, (length, _) in (("before", before), ("behind", behind)) if length is None)
        yield cannot_tell(coil, f"lengths {sides} {device.label}")
    elif not short:
        yield yes(coil, device.label)


def _longer(hookup: Hookup, device: Component, where: str, missing: Fraction) -> Mend:
    """More straight pipe on one side of a device, in whole inches, where the file says how the line runs."""
    if not device.heading or not is_asked(device):
        return ()
    line = f"{as_drawn(hookup, device.heading)} {ceil(missing)} in"
    return above(device, line) if where == "before" else below(hookup, device, line)


def run_to_fitting(way: Iterable[Component]) -> tuple[Fraction | None, Component | None]:
    """Centre-to-centre length in inches of the pipe up to the first fitting that disturbs the flow, and that fitting.

    The length is None if none of it is measured, or a piece of it is not. A small outlet (under half the line's size)
    and flanges disturb nothing: common practice, no source.
    """
    total, runs, known = Fraction(0), 0, True
    for component in way:
        if component.pipe is not None:
            runs += 1
            if isinstance(component.pipe.length, Fraction):
                total += component.pipe.length
            else:
                known = False
        elif component.kind.ports == "tee":
            if component.branch_size is None or 2 * component.branch_size.inches >= component.size.inches:
                return (total if runs and known else None), component
        elif component.kind.name not in _SMOOTH and "flange" not in component.kind.name:
            return (total if runs and known else None), component
    return None, None
