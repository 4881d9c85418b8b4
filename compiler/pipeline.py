"""The passes in order: the first file to read.

    text --source--> trees --declare--> Declared --expand--> plans --connect--> Hookup --PASSES--> Hookup
                                                                                  rules, takeoffs and sheets read it

Every pass behind `connect` takes a hookup and gives it back with what its docstring names under "Adds".
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from .catalogue.declare import Declared, declare
from .model.finding import Finding, Findings
from .model.hookup import Hookup
from .passes.connect import connect
from .passes.expand import expand
from .passes.expanded import Expanded
from .passes.join import join
from .passes.known import Known
from .passes.loosen import loosen
from .passes.measure import measure
from .passes.mirror import mirror
from .passes.name import name
from .passes.route import route
from .passes.run import Run
from .passes.weigh import weigh
from .source.tree import Tree

PASSES: tuple[Callable[[Hookup, Run], Hookup], ...] = (mirror, route, join, loosen, measure, weigh, name)


@dataclass(slots=True)
class Compiled:
    """What the passes make of some trees. `hookups` may be incomplete where `findings` has errors."""

    declared: Declared
    hookups: list[Hookup]
    findings: list[Finding]


def run_passes(trees: Sequence[Tree], known: Known | None = None) -> Compiled:
    """Declarations and joined hookups of a file with all it uses, and all that was found on the way.

    `known` holds what other files of the same run came to; their trees have to be kept as long as it is.
    """
    findings = Findings()
    declared = declare(trees, findings)
    run = Run(declared, findings, known or Known())
    plans = expand(run)
    hookups = []
    found = list(findings.items)
    for plan in plans:
        hookup, own = compile_one(plan, run)
        hookups.append(hookup)
        found.extend(own)
    return Compiled(declared, hookups, found)


def compile_one(plan: Expanded, run: Run) -> tuple[Hookup, list[Finding]]:
    """One plan through connect and all passes, and its findings, each with the units it holds for.

    A hookup that another file has as well is that file's, graph and all, with the units of this one.
    """
    before = run.known.hookups.get(plan.key) if plan.key is not None else None
    if before is not None:
        hookup, found = replace(before[0], units=tuple(plan.units)), before[1]
    else:
        own = Findings()
        one = replace(run, findings=own)
        hookup = connect(plan, one)
        for step in PASSES:
            hookup = step(hookup, one)
        found = tuple(own.items)
        if plan.key is not None:
            run.known.hookups[plan.key] = (hookup, found)
    units = tuple(unit.tag for unit in hookup.units)
    return hookup, [finding.of(units) for finding in found]


def merged(findings: Sequence[Finding]) -> list[Finding]:
    """Findings in file order; those that differ only in their units become one with all of them."""
    alike: dict[tuple[object, ...], tuple[Finding, list[str]]] = {}
    for finding in findings:
        alike.setdefault(finding.said(), (finding, []))[1].extend(finding.units)
    made = [finding.of(tuple(dict.fromkeys(tags))) for finding, tags in alike.values()]
    return sorted(made, key=Finding.order)
