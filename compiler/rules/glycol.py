"""What glycol asks of the pipe around it, and of how lost liquid is made up."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..analysis.sections import Sections
from ..model.declared import Service
from ..model.finding import Finding, Note
from ..model.hookup import Hookup, LineInfo
from ..model.mend import write
from .registry import Verdict, cannot_tell, fault, rule, yes

_HOSPITAL = "University of Iowa Hospitals design standard (gaskets, low-pressure alarm)"


@rule(
    "galvanized-with-glycol",
    severity="should",
    title="Glycol materials",
    asks="pipe and fittings with glycol in them are not galvanized, and gaskets and thread tape suit glycol",
    why="The inhibitor in the glycol attacks zinc: the coating comes off as sludge, and the inhibitor is used up.",
    mend="give the service a spec of black steel or copper",
    sources=(_HOSPITAL, "from memory for galvanized pipe"),
    agreement="1 source read for gaskets; the rest from memory",
    needs="`gaskets suit the fluid` in the service's block",
)
def galvanized_with_glycol(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """A row of the spec that a line's pipe is bought by whose metal or fittings are galvanized."""
    for service, coils in glycols(hookup):
        found = next((found for found in _galvanized(hookup) if found[0].service == service.name), None)
        if found is not None:
            line, what = found
            yield fault(
                f"`{line.id}` carries {service.fluid} in {what}",
                line.span,
                about=(*coils, *((line.coil,) if line.coil not in coils else ())),
                notes=(Note(f"spec `{line.spec.name}` says so", line.spec.origin[0]),) if line.spec.origin else (),
            )
        elif service.fit_gaskets:
            yield from (yes(tag) for tag in coils)
        else:
            yield from (cannot_tell(tag, "say `gaskets suit the fluid` in the service's block") for tag in coils)


@rule(
    "glycol-made-up-with-water",
    severity="should",
    title="Glycol make-up",
    asks="no valve makes up lost glycol with water by itself, and an alarm tells when the pressure is low",
    why="A leak then thins the glycol unseen until it freezes or no longer keeps the metal from corroding.",
    mend="feed mixed glycol by hand, and write `make-up by hand` in place of `automatic make-up`",
    sources=(_HOSPITAL, "from memory for the make-up"),
    agreement="1 source read for the alarm; the make-up from memory",
    needs="`make-up by hand` or `automatic make-up`, and `low-pressure alarm`, in the service's block",
)
def glycol_made_up_with_water(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """What a glycol service says of its make-up and its alarm."""
    for service, coils in glycols(hookup):
        if service.make_up == "automatic":
            message = f"lost liquid of `{service.name}` is made up by itself, with water"
            mend = write(service.places["automatic make-up"], "make-up by hand")
            yield fault(message, service.origin[0], about=coils, mend=mend)
        elif service.make_up and service.pressure_alarm:
            yield from (yes(tag, "by hand, with an alarm") for tag in coils)
        else:
            words = (
                "" if service.make_up else "`make-up by hand`",
                "" if service.pressure_alarm else "`low-pressure alarm`",
            )
            add = f"say {' and '.join(word for word in words if word)} in the block of service {service.name}"
            yield from (cannot_tell(tag, add) for tag in coils)


def glycols(hookup: Hookup) -> Iterator[tuple[Service, tuple[str, ...]]]:
    """The glycol services of the hookup's lines and coils, each with its coils."""
    names = dict.fromkeys([*(c.service for c in hookup.coils.values()), *(n.service for n in hookup.lines.values())])
    for name in names:
        service = hookup.services.get(name)
        if service is not None and "glycol" in service.fluid:
            yield service, tuple(tag for tag, facts in hookup.coils.items() if facts.service == name)


def _galvanized(hookup: Hookup) -> Iterator[tuple[LineInfo, str]]:
    """The lines with galvanized pipe or fittings in one of their sizes, and what is."""
    sizes = dict.fromkeys((c.line, c.size) for c in hookup.components() if c.line)
    for id, size in sizes:
        line = hookup.lines[id]
        row = line.spec.row(size)
        if row is not None and "galvanized" in row.metal:
            yield line, f"{row.metal} pipe"
        elif row is not None and "galvanized" in row.fittings:
            yield line, f"{row.fittings} fittings"
