"""`service` blocks to services."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from ..model.declared import Service
from ..model.finding import Findings
from ..model.span import Span
from ..source import tree
from ..source.tree import Atom, Fact
from .facts import Handler, one_quantity, quantity, read_facts, words_of
from .read_insulation import read_conductivity, read_material, read_tracing

#: Stands for the name of a spec that was to be given and is not: found here, so that nobody reports it again.
UNREAD = "?"

FLUIDS = ("water", "propylene glycol", "ethylene glycol", "steam")

#: Cubic feet in the volumes by which insulation is weighed. NIST SP 811: 1 ft3 = 0.028316846592 m3.
_VOLUMES = {"per ft3": 1.0, "per m3": 1 / 0.028316846592}


def read_service(node: tree.Service, findings: Findings) -> Service:
    """A service from its block. What the block does not say stays None.

    Finds: a glycol without its share, a share outside 0 to 100 %, no fluid, quantities of the wrong dimension.
    """
    said: dict[str, object] = {}
    places: list[Span] = [node.span]

    def fluid(name: str) -> Handler:
        def handle(fact: Fact, rest: tuple[Atom, ...]) -> None:
            said["fluid"] = name
            atoms = [*rest, *(a for phrase in fact.phrases[1:] for a in phrase.atoms)]
            share = next((a for a in atoms if a.kind == "quantity"), None)
            if share is None:
                if "glycol" in name:
                    findings.add(
                        "share-missing",
                        f"the share of {name} is not said",
                        fact.span.after(),
                        help=f"write `{name}, 30 % by volume`",
                    )
                return
            value = quantity(share, "fraction", findings)
            if value is None:
                return
            if not 0 < value <= 1:
                message = f"a mixture cannot hold `{share.text}` of glycol"
                findings.add("share-impossible", message, share.span, help="write a share such as `30 % by volume`")
                return
            said["share"] = float(value)
            said["basis"] = next((a.text for a in atoms if a.text in ("volume", "mass")), "")

        return handle

    def design(fact: Fact, rest: tuple[Atom, ...]) -> None:
        temperatures: list[float] = []
        for atom in [*rest, *(a for phrase in fact.phrases[1:] for a in phrase.atoms)]:
            if atom.kind in ("size", "number"):
                findings.add(
                    "unit-missing", f"`{atom.text}` has no unit", atom.span, help="write `125 psi` or `42 degF`"
                )
            if atom.kind != "quantity":
                continue
            if "deg" in atom.text or atom.text.rstrip()[-1] in "FC":
                value = quantity(atom, "temperature", findings)
                if value is not None:
                    temperatures.append(float(value))
            else:
                value = quantity(atom, "pressure", findings)
                if value is not None and value <= 0:
                    message = f"the design pressure cannot be `{atom.text}`"
                    findings.add(
                        "not-positive", message, atom.span, help="write a pressure above zero, such as `125 psi`"
                    )
                elif value is not None:
                    said["pressure_psi"] = float(value)
        if temperatures:
            said["low_f"], said["high_f"] = min(temperatures), max(temperatures)

    def spec(fact: Fact, rest: tuple[Atom, ...]) -> None:
        if rest:
            said["spec"] = rest[0].text
            places.append(fact.span)
        else:
            said["spec"] = UNREAD
            message = "the name of the spec is missing"
            findings.add(
                "name-missing", message, fact.span.after(), help="write it behind, such as `spec steel-welded`"
            )

    def insulate(fact: Fact, rest: tuple[Atom, ...]) -> None:
        value = one_quantity(rest, "length", fact.span, findings)
        if value is not None:
            said["insulation_in"] = Fraction(value)

    def density(fact: Fact, rest: tuple[Atom, ...]) -> None:
        value = one_quantity(rest[:1], "mass", fact.span, findings)
        volume = words_of(rest[1:])
        if value is not None and volume not in _VOLUMES:
            help = "write `insulation 4 lb per ft3`, with a weight of yours"
            findings.add("not-a-density", f"`{words_of(rest)}` is no density", fact.span, help=help)
        elif value is not None and value <= 0:
            findings.add("not-positive", "insulation weighs something", fact.span, help="write a weight above zero")
        elif value is not None:
            said["insulation_lb_ft3"] = float(value) / _VOLUMES[volume]

    def traced(fact: Fact, rest: tuple[Atom, ...]) -> None:
        said["heat_traced"] = True
        said["tracing"] = read_tracing(fact, rest, findings)

    def conducts(reader: Callable[[Fact, tuple[Atom, ...], Findings], float | None]) -> Handler:
        def handle(fact: Fact, rest: tuple[Atom, ...]) -> None:
            said["insulation_k"] = reader(fact, rest, findings)

        return handle

    def coldest(fact: Fact, rest: tuple[Atom, ...]) -> None:
        value = one_quantity(rest, "temperature", fact.span, findings)
        if value is not None:
            said["coldest_f"] = float(value)

    def flag(key: str, value: object = True) -> Handler:
        def handle(fact: Fact, rest: tuple[Atom, ...]) -> None:
            said[key] = value

        return handle

    def runs(fact: Fact, rest: tuple[Atom, ...]) -> None:
        value = one_quantity(rest[:1], "time", fact.span, findings)
        if value is not None:
            said["hours"] = float(value) / 60

    handlers: dict[str, Handler] = {name: fluid(name) for name in FLUIDS}
    handlers |= {
        "design": design,
        "spec": spec,
        "insulate": insulate,
        "insulation": density,
        "insulation k": conducts(read_conductivity),
        "insulation of": conducts(read_material),
        "heat traced": traced,
        "coldest surroundings": coldest,
        "potable": flag("potable"),
        "variable flow": flag("variable_flow"),
        "constant flow": flag("variable_flow", False),
        "closed loop": flag("loop", "closed"),
        "open system": flag("loop", "open"),
        "runs": runs,
        "burst protection": flag("only_burst"),
        "automatic make-up": flag("make_up", "automatic"),
        "make-up by hand": flag("make_up", "hand"),
        "low-pressure alarm": flag("pressure_alarm"),
        "gaskets suit the fluid": flag("fit_gaskets"),
    }
    where: dict[str, Span] = {}

    def placed(name: str, handler: Handler) -> Handler:
        def handle(fact: Fact, rest: tuple[Atom, ...]) -> None:
            where.setdefault(name, fact.span)
            handler(fact, rest)

        return handle

    handlers = {name: placed(name, handler) for name, handler in handlers.items()}
    short = [name for name in handlers if name not in ("design", "heat traced", *FLUIDS)]
    read_facts(node.block, handlers, "a service", findings, (*short, "water", "steam"))
    if "fluid" not in said:
        findings.add(
            "fluid-missing",
            f"service `{node.name.text}` does not say what it carries",
            node.name.span,
            help="add a line such as `water` or `propylene glycol, 30 % by volume`",
        )
    defaults: dict[str, object] = dict.fromkeys(
        ("share", "pressure_psi", "low_f", "high_f", "insulation_in", "coldest_f")
    )
    defaults |= {"fluid": "", "basis": "", "spec": "", "heat_traced": False}
    return Service(name=node.name.text, origin=tuple(places), places=where, **{**defaults, **said})  # type: ignore[arg-type]
