"""Freezing: pumped coil loops, cold air on plain water, strength of glycol, heat trace outdoors."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import ceil

from ..analysis.legs import Leg, LegName
from ..analysis.places import add, is_asked, move, side_lines
from ..analysis.sections import Sections
from ..analysis.water import is_in_loop, legs, ring_flow, toward_main
from ..catalogue.fluids import by_volume, freezing_point
from ..catalogue.limits import limit
from ..model.declared import Service
from ..model.finding import Finding, Note
from ..model.hookup import Component, Hookup
from ..model.mend import Mend, write
from .glycol import glycols
from .registry import Verdict, cannot_tell, concerned, fault, rule, yes

_SAY_AIR = "say the coldest `entering air` in the coil's block"


@rule(
    "freeze-pump-loop-broken",
    severity="must",
    title="Pumped loop",
    asks="where a coil has a pump of its own against frost, a ring with pump and coil is left when the control valve "
    "shuts",
    why="The pump guards the tubes only as long as water goes round: with the control valve inside the ring, or the "
    "bypass or its check valve the wrong way, the coil stands still and bursts.",
    mend="run a line `bypass` from a tee on the return to a tee on the supply ahead of the pump, with the control "
    "valve outside the ring; a check valve in it lets water pass from the return to the supply",
    sources=(
        "an injection pumping guide of a valve maker",
        "a control sequence for preheat coils with pumps",
        "a users' discussion of preheat coils (38 F, 3 ft/s in the tubes)",
    ),
    agreement="3 sources read for the topology; one owner's manual prefers glycol instead",
    needs="`entering air` of the coil",
)
def freeze_pump_loop_broken(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A coil in freezing air with a pump on its legs, and no directed ring through both."""
    for tag, both in legs(hookup, sections).items():
        pumps = [c for leg in both.values() for c in leg.having("pumps")]
        air = hookup.coils[tag].entering_air_f
        if not pumps or is_in_loop(both):
            continue  # the pump of a loop of coils drives the loop, and is no coil's own
        if air is None:
            yield cannot_tell(tag, _SAY_AIR)
        elif air < limit("freezing air"):
            ring = ring_flow(hookup, tag, with_the_arrows=True)
            if ring:
                yield yes(tag, ", ".join(p.label for p in pumps if p.id in ring))
            else:
                yield _broken(hookup, sections, tag, pumps[0])


@rule(
    "freezing-air-on-water",
    severity="must",
    title="Water in freezing air",
    asks="a coil that meets air near freezing carries glycol, or plain water that its own pump keeps moving",
    why="Still water in a tube freezes within minutes in such air, and the tube bursts. A thermostat that stops the "
    "fan comes on top and does not do instead.",
    mend="put the coil on glycol, or give it a pumped loop of its own",
    sources=(
        "coil and air handler makers' manuals (38 F; 40 F in two of them)",
        "VA HVAC Design Manual (below 32 F), nursing home manual",
    ),
    agreement="8 sources read for on water, 0 against; the strictest figure, 40 F, is kept",
    needs="`entering air` of the coil",
)
def freezing_air_on_water(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """Plain water, entering air below the limit, no ring with a pump."""
    for tag, facts in hookup.coils.items():
        service = hookup.services.get(facts.service)
        if service is None or service.fluid != "water" or tag not in sections.neighbours:
            continue
        air, least = facts.entering_air_f, limit("freezing air")
        if air is None:
            yield cannot_tell(tag, _SAY_AIR)
        elif air >= least:
            yield yes(tag, f"air not below {air:g} F")
        elif ring_flow(hookup, tag, with_the_arrows=True):
            yield yes(tag, "its pump keeps the water moving")
        else:
            yield fault(
                f"coil `{tag}` meets air of {air:g} F with plain water in it",
                facts.span,
                about=(tag,),
                notes=(Note(f"water is taken to freeze in a coil that meets air below {least} F"),),
            )


@rule(
    "glycol-too-weak",
    severity="must",
    title="Strength of glycol",
    asks="the mixture freezes 5 F or more below the coldest that it sees: its surroundings, the air on its coils, its "
    "own lowest temperature",
    why="Slush stops the flow, and a mixture well below its freezing point bursts tubes like water does.",
    mend="raise the share of glycol in the service's block",
    sources=(
        "ASHRAE freezing points as the open library CoolProp holds them",
        "a piping maker's design manual (the same table to a degree)",
        "common practice for the margin of 5 F",
    ),
    agreement="4 tables agree within 3 F below 40 %",
    needs="`coldest surroundings` of the service or `entering air` of its coils",
)
def glycol_too_weak(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The freezing point against the coldest temperature said, less the margin.

    A service that asks for no more than burst protection may freeze to slush; only what does not freeze is told.
    """
    for service, coils in glycols(hookup):
        freezes = None
        if service.share is not None:
            freezes = freezing_point(service.fluid, service.share, service.basis or "volume")
        if freezes is None or service.share is None:
            yield from (cannot_tell(tag, "a strength within the table (to 60 %)") for tag in coils)
            continue
        airs = [air for tag in coils if (air := hookup.coils[tag].entering_air_f) is not None]
        around = [service.coldest_f] if service.coldest_f is not None else []
        said = _coldest(hookup, service, coils)
        need = min(said) - float(limit("glycol margin")) if said else None
        if need is not None and freezes > need and service.only_burst:
            add = f"freezes at {freezes:.0f} F, and the burst point is not in the tables: ask the glycol's maker for it"
            yield from (cannot_tell(tag, add) for tag in coils)
        elif need is not None and freezes > need:
            yield fault(
                f"`{service.name}` with {service.share * 100:g} % of glycol freezes at {freezes:.0f} F, and it sees "
                f"{min(said):g} F",
                service.origin[0],
                about=coils,
                notes=(Note(f"it should freeze at {need:g} F or below"),),
                mend=_stronger(service, need),
            )
        elif around or airs:
            yield from (yes(tag, f"freezes at {freezes:.0f} F") for tag in coils)
        else:
            yield from (cannot_tell(tag, "say `coldest surroundings` in the service's block") for tag in coils)


@rule(
    "glycol-basis-unsaid",
    severity="must",
    asks="a share of glycol says whether it is by volume or by mass",
    why="30 % by mass of ethylene glycol is under 28 % by volume: the buyer may get the weaker one.",
    mend="write `by volume` or `by mass` behind the share",
    sources=("a glycol supplier's glossary (conversion)", "VA HVAC Design Manual (its table is by weight)"),
    agreement="tables of both kinds are in use",
)
def glycol_basis_unsaid(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A glycol service with a share and no basis."""
    for service, coils in glycols(hookup):
        if service.share is not None and not service.basis:
            glycol = f"the {service.share * 100:g} % of glycol in `{service.name}`"
            message = f"whether {glycol} are by volume or by mass is not said"
            share = f"{service.share * 100:g} %"
            mend = write(service.places[service.fluid], f"{share} by volume", share)
            yield fault(message, service.origin[0], about=coils, mend=mend)


@rule(
    "glycol-too-thin-for-inhibitor",
    severity="note",
    asks="a glycol service holds 25 % by volume or more of inhibited glycol, whatever the frost asks for",
    why="The inhibitor comes with the glycol: thinned too far it no longer keeps the metal from corroding.",
    mend="raise the share of glycol to what its maker asks for, or accept this finding with what the maker says of it",
    sources=("from memory",),
    agreement="not counted; a university sets a floor above 30 %, an owner's manual caps some loops at 20 % by mass",
)
def glycol_too_thin_for_inhibitor(hookup: Hookup, sections: Sections) -> Iterable[Finding]:
    """A share by volume below the limit; a share of no basis is taken by volume, as for freezing."""
    least = 0.01 * float(limit("inhibited glycol"))
    for service, coils in glycols(hookup):
        if service.share is None:
            continue
        volume = by_volume(service.fluid, service.share) if service.basis == "mass" else service.share
        if volume < least:
            yield fault(
                f"`{service.name}` with {service.share * 100:g} % of glycol{_thinned(volume, service.basis)} is too "
                "thin for its inhibitor",
                service.origin[0],
                about=coils,
                notes=(
                    Note(f"{100 * least:g} % by volume is the usual floor, from memory; the maker's sheet decides"),
                ),
                mend=_thicker(hookup, service, coils, least),
            )


def _coldest(hookup: Hookup, service: Service, coils: Iterable[str]) -> list[float]:
    """The cold that a mixture sees, as far as it is said: air on its coils, its surroundings, its own lowest."""
    airs = [hookup.coils[tag].entering_air_f for tag in coils]
    return [cold for cold in (*airs, service.coldest_f, service.low_f) if cold is not None]


def _stronger(service: Service, freezes: float) -> Mend:
    """The first whole share that freezes at a temperature or below; nothing where the table does not go so far."""
    for percent in range(1, 100):
        point = freezing_point(service.fluid, percent / 100, service.basis or "volume")
        if point is not None and point <= freezes:
            return _share(service, percent)
    return ()


def _thicker(hookup: Hookup, service: Service, coils: Iterable[str], volume: float) -> Mend:
    """The first whole share that holds so much by volume, and that does not freeze in the cold that it sees."""
    said = _coldest(hookup, service, coils)
    need = min(said) - float(limit("glycol margin")) if said else None
    freezes = freezing_point(service.fluid, volume, "volume")
    if need is not None and freezes is not None and freezes > need and not service.only_burst:
        return _stronger(service, need)
    shares = range(ceil(100 * volume), 100)
    if service.basis == "mass":
        return _share(service, next(n for n in shares if by_volume(service.fluid, n / 100) >= volume))
    return _share(service, shares[0])


def _share(service: Service, percent: int) -> Mend:
    """Another share of glycol than the service has."""
    return write(service.places[service.fluid], f"{percent} %", f"{100 * (service.share or 0):g} %")


def _thinned(volume: float, basis: str) -> str:
    """What a share by mass is by volume, for a message."""
    return f" by mass, {volume * 100:.0f} % by volume," if basis == "mass" else ""


@rule(
    "cold-water-line-untraced",
    severity="must",
    title="Heat trace",
    asks="water lines outdoors or in surroundings below freezing are heat traced",
    why="Insulation only delays freezing; when the flow stops, only heat keeps the line open.",
    mend="write `heat traced` in the service's block, with the cable over valves and strainers too, or fill it "
    "with glycol",
    sources=(
        "insulation trade article on freezing",
        "two heat trace suppliers' guides (hold 40 F)",
        "UFGS 15741 (heat tape with thermostat)",
    ),
    agreement="4 sources read for, 0 against",
    needs="`outdoors` behind a line, `coldest surroundings` of the service",
)
def cold_water_line_untraced(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A line of plain water that stands in the cold, on a service that is not traced."""
    for line in hookup.lines.values():
        service = hookup.services.get(line.service)
        if service is None or service.fluid != "water":
            continue
        cold = service.coldest_f is not None and service.coldest_f < limit("freezing air")
        outdoors = "outdoors" in line.remarks and (service.coldest_f is None or cold)
        if not (cold or outdoors):
            continue
        coils = [line.coil] if line.coil in hookup.coils else []
        if service.heat_traced:
            yield from (yes(tag) for tag in coils)
            continue
        where = "outdoors" if outdoors else f"in surroundings of {service.coldest_f:g} F"
        message = f"`{line.id}` carries water {where} and is not heat traced"
        mend = add("last under", service.origin[0], "heat traced")
        yield fault(message, line.span, about=tuple(coils), mend=mend)


def _broken(hookup: Hookup, sections: Sections, tag: str, pump: Component) -> Finding:
    """What is wrong with a pump that has no ring, in the words of what is nearest to one."""
    turned = ring_flow(hookup, tag, with_the_arrows=False)
    if turned:
        message = f"the ring of pump `{pump.label}` and coil `{tag}` has a line written from the supply to the return"
        notes = (Note("water in it has to go from the coil's return to its supply, and so has any check valve"),)
    else:
        message = f"with the control valve shut, no ring is left for pump `{pump.label}` and coil `{tag}`"
        notes = (Note("a ring is: coil - tee on the return - bypass - tee on the supply - pump - coil"),)
    mend = () if turned else _out_of_ring(hookup, legs(hookup, sections)[tag])
    return fault(message, pump.origin[0], about=concerned(hookup, pump), notes=notes, mend=mend)


def _out_of_ring(hookup: Hookup, both: Mapping[LegName, Leg]) -> Mend:
    """The control valve moved to the main's side of the tee from which a bypass leads to the other leg."""
    for leg, other in ((both["supply"], both["return"]), (both["return"], both["supply"])):
        ends = {line for component in other.way for line in side_lines(hookup, component)}
        for at, valve in enumerate(leg.way):
            if not valve.kind.can("controls") or valve.kind.ports != "inline" or not is_asked(valve):
                continue
            tee = next((c for c in toward_main(leg, at) if side_lines(hookup, c) & ends and c.line == valve.line), None)
            if tee is not None and is_asked(tee):
                return move(hookup, valve, "above" if leg.name == "supply" else "below", tee)
    return ()
