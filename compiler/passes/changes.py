"""How one unit differs from its typical: items left out, resized, replaced or added."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from ..catalogue.facts import unknown_words
from ..model.plan import ItemStep, LinePlan, Plan, Step
from ..model.size import Size, find_size
from ..source import tree
from .read_steps import StepReader
from .run import Run


def with_changes(plan: Plan, changes: Sequence[tree.Change], run: Run) -> Plan:
    """The plan with a unit's changes made, one after the other.

    Finds: changes to tags that are not there, sizes that are none.
    """
    reader = StepReader(run.declared, run.findings)
    for change in changes:
        if change.target is None:
            continue
        size = find_size(change.size.text) if change.size is not None else None
        if change.size is not None and size is None:
            message = f"`{change.size.text}` is no nominal pipe size"
            run.findings.add("no-such-size", message, change.size.span)
            continue
        new = tuple(reader.item(change.item, False)) if change.item is not None else ()
        edit = _Edit(change, change.target.text, size, new)
        lines = tuple(replace(line, steps=edit.steps(line.steps)) for line in plan.lines)
        unread = plan.unread
        if change.item is not None and not new:  # the item is at fault, which is found there
            unread |= {edit.tag, *tags_written([change.item])}
        elif lines == plan.lines and edit.tag not in unread:
            message = f"`{plan.name}` has no item `{edit.tag}` to {change.verb.text}"
            run.findings.items.append(
                unknown_words("unknown-tag", [change.target], sorted(tags_of(plan.lines)), message)
            )
        plan = replace(plan, lines=lines, unread=unread)
    return plan


@dataclass(frozen=True, slots=True)
class _Edit:
    """One change, ready to be made wherever its tag stands."""

    change: tree.Change
    tag: str
    size: Size | None
    new: tuple[Step, ...]

    def steps(self, steps: tuple[Step, ...]) -> tuple[Step, ...]:
        """Some steps with the change made in them and in their branches."""
        made: list[Step] = []
        for step in steps:
            if isinstance(step, ItemStep) and step.branch:
                step = replace(step, branch=self.steps(step.branch))
            if isinstance(step, ItemStep) and step.tag == self.tag:
                made.extend(self._in_place_of(step))
            else:
                made.append(step)
        return tuple(made)

    def _in_place_of(self, step: ItemStep) -> tuple[Step, ...]:
        match self.change.verb.text:
            case "resize":
                return (replace(step, size=self.size, origin=(self.change.span, *step.origin)),)
            case "replace":
                return tuple(replace(s, tag=s.tag or self.tag) if isinstance(s, ItemStep) else s for s in self.new)
            case "add":
                return (step, *self.new) if self.change.where == "after" else (*self.new, step)
            case _:  # omit
                return ()


def tags_of(lines: Sequence[LinePlan]) -> set[str]:
    """All tags written in some lines."""
    found: set[str] = set()

    def look(steps: Sequence[Step]) -> None:
        for step in steps:
            if isinstance(step, ItemStep):
                if step.tag:
                    found.add(step.tag)
                look(step.branch)

    for line in lines:
        look(line.steps)
    return found


def tags_written(block: Iterable[tree.Step]) -> Iterator[str]:
    """All tags that stand on the items of a block, whether these can be read or not."""
    for node in block:
        if isinstance(node, tree.Item):
            yield from (atom.text for phrase in node.phrases for atom in phrase.atoms if atom.kind == "tag")
            yield from tags_written(node.block)
