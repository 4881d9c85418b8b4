"""expand: typicals and units to distinct hookups, each worked out once and shared by all the units built so."""

from __future__ import annotations

from ..catalogue.declare import Declared
from ..catalogue.facts import unknown_words
from ..model.finding import Findings, Note
from ..model.hookup import UnitRef
from ..model.plan import Plan
from ..model.span import Span
from ..source import tree
from .changes import tags_of, with_changes
from .expanded import Expanded
from .mains import settle_mains
from .read_plan import read_airflow, read_plan
from .run import Run


def expand(run: Run) -> list[Expanded]:
    """Every distinct (plan, airflow, changes), in the order of their first unit.

    A typical without units stands alone, unless it comes from a file that is only used and there are units: such a file
    may hold the typicals of a whole shop.

    Needs: the declarations. Adds: plans with their units.
    Finds: units of unknown typicals, two units with one number of one typical, changes to tags that are not there,
    typicals without units, mains said to carry two services.
    """
    declared, findings = run.declared, run.findings
    plans = {name: _plan(node, run) for name, node in declared.typicals.items()}
    made: dict[object, Expanded] = {}
    used: set[str] = set()
    numbers: dict[tuple[str, str], Span] = {}
    for tag, node in declared.units.items():
        if node.of is None:
            plan = read_plan(tag, node.details, node.block, node.span, declared, findings)
            changes: tuple[tree.Change, ...] = ()
        else:
            name = node.of.text
            if name not in plans:
                findings.items.append(
                    unknown_words("unknown-typical", [node.of], plans, f"there is no typical `{name}`")
                )
                continue
            used.add(name)
            plan = plans[name]
            changes = tuple(c for c in node.block if isinstance(c, tree.Change))
            if len(changes) < len(node.block):
                other = next(c for c in node.block if not isinstance(c, tree.Change))
                findings.add(
                    "unexpected-line",
                    f"unit `{tag}` is built as typical `{name}` and cannot also be written out",
                    other.span,
                    help="write omit, resize, replace or add, or leave out `is …` and write the unit in full",
                )
        airflow = read_airflow(node.details, "airflow", findings) or plan.drawn
        number = _number(node, findings)
        if (
            airflow
            and not plan.drawn
            and node.of is not None
            and not _names_a_drawing(declared, node.of.text)
            and not any(f.span == plan.span for f in findings.items)
        ):
            findings.add(
                "drawn-airflow-unsaid",
                f"typical `{plan.name}` does not say for which airflow it is drawn, so no unit can be its mirror image",
                plan.span,
                severity="must",
                help=f"write `typical {plan.name}, drawn with airflow left to right`, or the other way",
            )
        if number == "*" and any("*" in tag for tag in tags_of(plan.lines)):
            findings.add(
                "number-missing",
                f"unit `{tag}` has no number to take the place of `*` in its tags",
                node.span,
                severity="must",
                help=f"write `unit {tag} …, number 2`",
            )
        if node.of is not None and number:
            first = numbers.setdefault((plan.name, number), node.span)
            if first is not node.span:
                findings.add(
                    "number-used-twice",
                    f"two units of `{plan.name}` have the number {number}",
                    node.span,
                    notes=(Note("the other is here", first),),
                    help="give one of them another, such as `number 2`",
                )
        key: object = (plan.name, airflow, id(node) if changes or node.of is None else None)
        if key not in made:
            made[key] = Expanded(with_changes(plan, changes, run), airflow)
            if node.of is not None and not changes:
                made[key].key = _key(declared, node.of.text, airflow)
        says_airflow = any(phrase.atoms[0].text == "airflow" for phrase in node.details)
        made[key].units.append(UnitRef(tag, number, node.span, says_airflow))
    for name, plan in plans.items():
        if name in used or (declared.units and plan.span.file != declared.file):
            continue
        if not findings.broken:
            findings.add(
                "typical-unused",
                f"typical `{name}` has no units, so its lists count one unit as drawn",
                plan.span,
                severity="note",
                help=f"add a line such as `unit AH-1 is {name}, number 1`",
            )
        alone = [UnitRef(name, "*", plan.span)]
        made[name] = Expanded(plan, plan.drawn, alone, _key(declared, name, plan.drawn))
    settle_mains(made.values(), findings)
    return list(made.values())


def _plan(node: tree.Typical, run: Run) -> Plan:
    """The plan of a typical, read once for all files that read the same behind it."""
    key = (run.declared.behind_plans, id(node))
    if key not in run.known.plans:
        own = Findings()
        plan = read_plan(node.name.text, node.details, node.block, node.span, run.declared, own)
        run.known.plans[key] = (plan, tuple(own.items))
    plan, found = run.known.plans[key]
    run.findings.items.extend(found)
    return plan


def _key(declared: Declared, typical: str, airflow: str) -> tuple[object, ...]:
    return (declared.behind_hookups, id(declared.typicals[typical]), airflow)


def _names_a_drawing(declared: Declared, name: str) -> bool:
    """Whether a typical tries to say its airflow; one that fails is found where it does."""
    return any(phrase.text.startswith("drawn") for phrase in declared.typicals[name].details)


def _number(node: tree.Unit, findings: Findings) -> str:
    """The unit's number: what `number 3` says, else the digits its tag ends in."""
    for phrase in node.details:
        first = phrase.atoms[0].text
        if first == "number" and len(phrase.atoms) == 2:
            return phrase.atoms[1].text
        if first not in ("airflow", "drawn"):
            findings.items.append(
                unknown_words(
                    "unknown-detail",
                    phrase.atoms,
                    ("number 1", "airflow left to right", "airflow right to left"),
                    f"`{phrase.text}` says nothing of a unit",
                )
            )
    tag = node.tag.text
    return tag[len(tag.rstrip("0123456789")) :] or "*"
