"""`coil` blocks."""

from __future__ import annotations

from ..catalogue.declare import Declared
from ..catalogue.facts import Handler, one_quantity, read_facts, read_size, span_of, unknown_words, words_of
from ..catalogue.words import METAL_WORDS
from ..model.finding import Findings, Note
from ..model.hookup import Ask, CoilFacts, CoilPort
from ..model.plan import CoilPlan
from ..model.quantity import Dimension
from ..model.size import Size
from ..model.span import Span
from ..source import tree
from ..source.tree import Atom, Fact, Phrase
from .read_condensate import CondensateReader
from .read_details import HANDS, Details, read_details
from .read_place import read_place
from .read_room import read_room


def read_coil(node: tree.Coil, declared: Declared, findings: Findings) -> CoilPlan:
    """A coil from its block.

    Finds: no service or an unknown one, ports without level, size or end, header metals nobody knows, quantities of
    the wrong dimension.
    """
    ports: dict[str, CoilPort] = {}
    sizes: dict[str, Size] = {}
    asks: dict[str, Ask] = {}
    taps: list[tuple[str, Size, Span]] = []
    said: dict[str, object] = {"header_metal": "", "volume_gal": None}

    def twice(what: str, before: Span, span: Span) -> None:
        message = f"coil `{node.tag.text}` has two lines for its {what}"
        notes = (Note("the other is here", before),)
        findings.add("declared-twice", message, span, notes=notes, help="take one of them out")

    def port(name: str) -> Handler:
        def handle(fact: Fact, rest: tuple[Atom, ...]) -> None:
            words = [a.text for a in rest if a.kind == "word"]
            level = next((w for w in words if w in ("low", "high")), "")
            side = next((w for w in words if w in ("entering", "leaving")), "")
            if name in ports:
                twice(f"{name} connection", ports[name].span, fact.span)
                return
            place, others = read_place(fact.phrases[1:], findings)
            ports[name] = CoilPort(name, level, side, fact.span, place)
            strange = [a for a in rest if a.text not in ("low", "high", "at", "entering", "leaving", "side", "air")]
            if strange:
                findings.items.append(
                    unknown_words(
                        "unknown-detail",
                        strange,
                        ("low", "high", "at entering side", "at leaving side"),
                        f"`{words_of(strange)}` says nothing of where a coil connection is",
                    )
                )
            details = Details()
            read_details(others, details, findings)
            if details.sizes:
                sizes[name] = details.sizes[0]
            elif not details.broken:
                findings.add(
                    "size-missing",
                    f"the size of the {name} connection of `{node.tag.text}` is not said",
                    fact.span.after(),
                    help="add size and end, such as `, 2-1/2 flanged`",
                )
            if not details.word:
                findings.add(
                    "end-missing",
                    f"the end of the {name} connection of `{node.tag.text}` is not said",
                    fact.span.after(),
                    help="add one of: flanged, male thread, female thread, solder, grooved, butt weld",
                )
            asks[name] = details.ask

        return handle

    def headers(fact: Fact, rest: tuple[Atom, ...]) -> None:
        metal = METAL_WORDS.get(words_of(rest), "")
        if not metal:
            findings.items.append(
                unknown_words(
                    "unknown-metal",
                    rest or fact.phrases[0].atoms,
                    METAL_WORDS,
                    f"`{words_of(rest)}` is no known header metal",
                )
            )
        said["header_metal"] = metal

    def holds(fact: Fact, rest: tuple[Atom, ...]) -> None:
        value = one_quantity(rest, "volume", fact.span, findings)
        if value is not None and value <= 0:
            message = f"coil `{node.tag.text}` cannot hold `{words_of(rest)}`"
            findings.add("not-positive", message, span_of(rest), help="write a volume above zero, or take the line out")
        elif value is not None:
            said["volume_gal"] = float(value)

    def tap(role: str) -> Handler:
        def handle(fact: Fact, rest: tuple[Atom, ...]) -> None:
            found = read_size(rest[0], findings) if rest else None
            before = next((span for other, _, span in taps if other == role), None)
            if before is not None:
                twice(f"{role} tap", before, fact.span)
            elif found is not None:
                taps.append((role, found, fact.span))
            elif not rest:
                findings.add(
                    "size-missing",
                    f"the size of the {role} tap is not said",
                    fact.span.after(),
                    help=f"write `{role} tap 1/2`",
                )

        return handle

    def number(key: str, dimension: Dimension) -> Handler:
        def handle(fact: Fact, rest: tuple[Atom, ...]) -> None:
            value = one_quantity(rest, dimension, fact.span, findings)
            if value is not None and dimension != "temperature" and value <= 0:
                message = f"the {dimension} of coil `{node.tag.text}` cannot be `{words_of(rest)}`"
                findings.add("not-positive", message, span_of(rest), help="write one above zero, or take the line out")
            elif value is not None:
                said[key] = float(value)

        return handle

    def count(key: str, what: str, example: str) -> Handler:
        def handle(fact: Fact, rest: tuple[Atom, ...]) -> None:
            if len(rest) == 1 and rest[0].text.isdigit() and 0 < int(rest[0].text) < 1000:
                said[key] = int(rest[0].text)
            else:
                findings.add("not-a-number", f"a number of {what} belongs here", fact.span, help=f"write `{example}`")

        return handle

    def ordered(fact: Fact, rest: tuple[Atom, ...]) -> None:
        hand = HANDS.get(words_of(rest), "")
        if hand:
            said["ordered_hand"], said["ordered_span"] = hand, fact.span
        else:
            message = "which hand of coil was ordered is not said"
            findings.add("unknown-detail", message, fact.span, help="write `ordered left hand` or `ordered right hand`")

    def flexible(fact: Fact, rest: tuple[Atom, ...]) -> None:
        said["wants_flexible"] = True

    def pull_space(fact: Fact, rest: tuple[Atom, ...]) -> None:
        phrases = [*([Phrase(rest)] if rest else []), *fact.phrases[1:]]
        said["pull_space"] = read_room(phrases, fact.span, "pull space", findings, needs_depth=True)

    handlers: dict[str, Handler] = {
        "supply": port("supply"),
        "return": port("return"),
        "headers": headers,
        "holds": holds,
        "drain tap": tap("drain"),
        "vent tap": tap("vent"),
        "flow": number("flow_gpm", "flow"),
        "rows": count("rows", "tube rows", "rows 6"),
        "circuits": count("circuits", "circuits", "circuits 24"),
        "tubes": number("tubes_in", "length"),
        "tube wall": number("tube_wall_in", "length"),
        "rated": number("rated_psi", "pressure"),
        "entering air": number("entering_air_f", "temperature"),
        "tube velocity": number("tube_velocity_fps", "velocity"),
        "flexible connections": flexible,
        "ordered": ordered,
        "pull space": pull_space,
    }
    condensate = CondensateReader(findings)
    handlers |= condensate.handlers()
    short = [name for name in handlers if name not in ("supply", "return", "condensate trap", "pull space")]
    read_facts(node.block, handlers, "a coil", findings, short)
    tubes, wall = said.get("tubes_in"), said.get("tube_wall_in")
    if isinstance(tubes, float) and isinstance(wall, float) and 2 * wall >= tubes:
        message = f"tubes of {tubes:g} in with a wall of {wall:g} in leave no bore in coil `{node.tag.text}`"
        findings.add("not-positive", message, node.tag.span, help="write the outside diameter and the wall of one tube")
    service = node.service.text if node.service else ""
    if not service:
        findings.add(
            "service-missing",
            f"coil `{node.tag.text}` is on no service",
            node.tag.span.after(),
            help=f"write `coil {node.tag.text} on SERVICE`",
        )
    elif service not in declared.services and node.service is not None:
        findings.items.append(
            unknown_words("unknown-service", [node.service], declared.services, f"there is no service `{service}`")
        )
    for name in ("supply", "return"):
        if name not in ports:
            findings.add(
                "connection-missing",
                f"coil `{node.tag.text}` does not say where its {name} connection is",
                node.tag.span,
                help=f"add a line such as `{name} {'low' if name == 'supply' else 'high'}, 2 male thread`",
            )
    said["condensate"] = condensate.read()
    facts = CoilFacts(node.tag.text, service, ports=ports, span=node.span, **said)  # type: ignore[arg-type]
    return CoilPlan(facts, sizes, asks, tuple(taps))
