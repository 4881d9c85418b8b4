"""Which way water goes through a coil: in low, against the air, and of the hand that was ordered."""

from __future__ import annotations

from collections.abc import Iterable

from ..analysis.lineups import normal, worked_out
from ..analysis.sections import Sections
from ..analysis.water import is_in_loop, legs
from ..catalogue.limits import limit
from ..model.declared import Service
from ..model.finding import Finding, Note
from ..model.hookup import CoilFacts, Hookup
from ..model.mend import Mend, write
from ..passes.mirror import coil_hand
from .registry import Verdict, cannot_tell, fault, rule, yes


@rule(
    "supply-not-low",
    severity="must",
    title="Water in low",
    asks="water enters a coil at its low connection and leaves at the high one; steam the other way round",
    why="Water that runs down through the tubes leaves the air in them: part of the coil stays dry. Condensate that "
    "has to run up stays in the coil.",
    mend="swap the two lines, or the levels in the coil's block if they were written down wrong",
    sources=("six coil and air handler makers' manuals",),
    agreement="6 sources read for, 0 against",
    needs="`low` and `high` in the coil's block",
)
def supply_not_low(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The level of the supply connection against the fluid."""
    for tag, facts in hookup.coils.items():
        service = hookup.services.get(facts.service)
        if service is None or tag not in sections.neighbours or len(facts.ports) < 2:
            continue
        supply, back = facts.ports["supply"].level, facts.ports["return"].level
        if _runs_backward(hookup, sections, tag) and supply != back:
            if (supply, back) == ("low", "high") and service.fluid != "steam":
                yield _backward(hookup, facts, service)
            continue
        low, high = ("high", "low") if service.fluid == "steam" else ("low", "high")
        if (supply, back) == (low, high):
            yield yes(tag)
        elif (supply, back) == (high, low):
            what = "steam enters" if service.fluid == "steam" else f"{service.fluid} enters"
            mend = _swapped(facts, ("low", "high") if _against_the_air(facts) else ("supply", "return"))
            message = f"{what} coil `{tag}` at its {supply} connection"
            yield fault(message, facts.ports["supply"].span, about=(tag,), mend=mend)
        else:
            yield cannot_tell(tag, f"write `supply {low}` and `return {high}` in the coil's block")


def _runs_backward(hookup: Hookup, sections: Sections, coil: str) -> bool:
    """Whether the pump of a loop without a main drives the water through a coil from its return to its supply."""
    if not is_in_loop(legs(hookup, sections)[coil]):
        return False
    standing = worked_out(hookup, sections).stand(normal(hookup))
    try:
        way = standing.coil_way(coil, hookup.coils[coil].service)
    except TimeoutError:
        return False
    return way is not None and way.backward


def _backward(hookup: Hookup, facts: CoilFacts, service: Service) -> Finding:
    """Water that the pump of a loop drives in at the high connection: lines that name the wrong ones, or run wrong."""
    tag = facts.tag
    into = next((j for _, v, j in hookup.joints() if v == tag and j.port_b == "return"), None)
    out = next((j for u, _, j in hookup.joints() if u == tag and j.port_a == "supply"), None)
    spans = [hookup.lines[j.line].points[at] for j, at in ((into, 1), (out, 0)) if j is not None]
    mend: Mend = ()
    help = "write the lines from the other end, with the pump's flow, or join them to the other connections"
    if len(spans) == 2 and spans[0] is not None and spans[1] is not None:
        ports = (("supply", "return"), ("return", "supply"))
        mend = tuple(
            edit
            for span, (new, old) in zip(spans, ports, strict=True)
            if span is not None
            for edit in write(span, f"{tag} {new}", f"{tag} {old}")
        )
        help = ""
    return fault(
        f"{service.fluid} enters coil `{tag}` at its high connection, the return",
        next((span for span in spans if span is not None), facts.ports["return"].span),
        about=(tag,),
        notes=(Note("the pump of the loop drives it that way"),),
        help=help,
        mend=mend,
    )


@rule(
    "flow-with-the-air",
    severity="must",
    title="Counterflow",
    asks="in a coil of three rows or more water enters on the leaving-air side and leaves on the entering-air side",
    why="With water and air running the same way the last rows do next to nothing: the coil falls short of its duty.",
    mend="swap the two lines, or order the coil of the other hand",
    sources=("seven coil and air handler makers' manuals", "a coil dealer's article (it matters from 3 rows)"),
    agreement="7 sources read for, 0 against; with 1 or 2 rows it matters little",
    needs="`rows`, and `at leaving side` and `at entering side`",
)
def flow_with_the_air(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The air sides of the two connections, and the number of rows."""
    for tag, facts in hookup.coils.items():
        service = hookup.services.get(facts.service)
        if service is None or service.fluid == "steam" or tag not in sections.neighbours or len(facts.ports) < 2:
            continue
        sides = (facts.ports["supply"].air_side, facts.ports["return"].air_side)
        if facts.rows is not None and facts.rows < limit("rows for counterflow"):
            yield yes(tag, f"{facts.rows} row{'s' if facts.rows > 1 else ''}: matters little")
        elif sides == ("leaving", "entering"):
            yield yes(tag)
        elif sides != ("entering", "leaving"):
            yield cannot_tell(tag, "say `supply low at leaving side` and `return high at entering side`")
        elif facts.rows is None:
            yield cannot_tell(tag, "say how many `rows` it has: water enters on the entering-air side")
        else:
            yield fault(
                f"water goes through the {facts.rows} rows of coil `{tag}` the same way as the air",
                facts.ports["supply"].span,
                about=(tag,),
                label="the side where the air enters",
                mend=_swapped(facts, ("entering", "leaving")),
            )


@rule(
    "hand-not-as-ordered",
    severity="must",
    title="Hand ordered",
    asks="the hand of coil that was ordered is the one that the unit's airflow asks for",
    why="A coil of the other hand has its connections on the wrong side; turned end for end it runs with the air, "
    "turned upside down it does not vent.",
    mend="order the coil of the other hand for these units, or correct their airflow",
    sources=("a fan maker's manual (air on the back of your head, connections at your right: right hand)",),
    agreement="1 source for this name; some name it facing the air, which is the opposite",
    needs="`ordered left hand` or `ordered right hand` in the coil's block, and the unit's airflow",
)
def hand_not_as_ordered(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """The hand in the coil's block against that of the airflow as built."""
    needed = coil_hand(hookup.airflow)
    for tag, facts in hookup.coils.items():
        if not facts.ordered_hand:
            continue
        if not needed:
            yield cannot_tell(tag, "say the unit's airflow, such as `airflow left to right`")
        elif facts.ordered_hand == needed:
            yield yes(tag, f"{needed} hand")
        else:
            note = "standing with the air on your back, the side on which the connections are"
            yield fault(
                f"coil `{tag}` is ordered {facts.ordered_hand} hand; airflow {hookup.airflow} asks for {needed} hand",
                facts.span,
                about=(tag,),
                notes=(Note(note),),
                mend=write(facts.ordered_span, needed, facts.ordered_hand)
                if facts.ordered_span is not None and all(unit.span == hookup.span for unit in hookup.units)
                else (),  # a typical may have units of the other hand
            )


@rule(
    "airflow-unsaid",
    severity="should",
    asks="every unit says its airflow",
    why="The airflow decides which hand of coil is ordered and which way the pipe runs. A unit that does not say it is "
    "built as its typical is drawn: if the air runs the other way, coils and spools come in the wrong hand.",
    mend="stand facing the coil's connections, look which way the air runs, and say it in the unit's line",
    sources=("common practice, no source",),
    agreement="read in no text; every unit of a job has a hand, and nothing else in a file says it",
)
def airflow_unsaid(hookup: Hookup, sections: Sections) -> Iterable[Finding | Verdict]:
    """Units of a typical that is drawn for an airflow, and units in full whose coils have sides, without their own."""
    for unit in hookup.units:
        if unit.says_airflow:
            continue
        if hookup.drawn:
            words = f"is {hookup.name}" if unit.span != hookup.span else f"unit {unit.tag}"
            yield fault(
                f"unit `{unit.tag}` does not say its airflow, and is taken as drawn: {hookup.drawn}, "
                f"{coil_hand(hookup.drawn)}-hand coils",
                unit.span,
                about=(unit.tag,),
                notes=(Note("it is drawn here", hookup.span),) if unit.span != hookup.span else (),
                mend=write(unit.span, f"{words}, airflow {hookup.drawn}", words),
                units=(unit.tag,),
            )
        elif unit.span == hookup.span and any(_has_sides(facts) for facts in hookup.coils.values()):
            yield fault(
                f"unit `{unit.tag}` does not say its airflow, so the hand of its coils is not known",
                unit.span,
                about=(unit.tag,),
                help=f"write `unit {unit.tag}, airflow left to right` or the other way, as seen facing the connections",
                units=(unit.tag,),
            )


def _has_sides(facts: CoilFacts) -> bool:
    return bool(facts.ordered_hand) or any(port.air_side for port in facts.ports.values())


def _against_the_air(facts: CoilFacts) -> bool:
    return (facts.ports["supply"].air_side, facts.ports["return"].air_side) == ("leaving", "entering")


def _swapped(facts: CoilFacts, words: tuple[str, str]) -> Mend:
    """Two words that change places between the two connections of a coil."""
    made: Mend = ()
    for port in (facts.ports["supply"], facts.ports["return"]):
        here = next(word for word in words if word in (port.name, port.level, port.air_side))
        made += write(port.span, words[1 - words.index(here)], here)
    return made
