"""The steps of a line or assembly: items to kinds, assemblies to the branches they stand for, moves to directions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from ..catalogue.declare import Declared
from ..catalogue.dimensions import steel_pipe
from ..catalogue.facts import quantity, read_size, unknown_words, words_of
from ..model.finding import Findings, Note
from ..model.hookup import Leg, Move
from ..model.kind import Kind
from ..model.nearest import nearest
from ..model.plan import ItemStep, Step
from ..model.size import Size, find_size
from ..model.span import Origin
from ..source import tree
from .read_details import Details, read_details
from .read_place import read_place

#: The other words that begin a step, for proposing the nearest.
#: Words that begin a line elsewhere, and what is written among the items of a line instead.
_ELSEWHERE = {
    "at": "a place belongs to a coil connection or a main (`from main CHS, at up 9 in`); here moves say it: `up 30 in`",
    "pipe": "pipe follows from moves, such as `left 6 in`; what lengths it comes in is said in a `takeoff` block",
}
STEP_WORDS = ("up", "down", "left", "right", "toward", "away", "from", "to", "through", "about")
#: Kinds whose side tapping takes an indented block directly; any other item gets a tee behind it.
SIDE_PORTS = ("tee", "three-way")


@dataclass(frozen=True, slots=True)
class StepReader:
    """Reads steps with the kinds and assemblies of one run. `inside` are the assemblies being expanded."""

    declared: Declared
    findings: Findings
    inside: tuple[tree.Assembly, ...] = ()

    def steps(self, block: Sequence[tree.Step], *, branch: bool, behind: Origin = ()) -> tuple[Step, ...]:
        """The steps of a block. In a branch the last item may be an end; elsewhere an end hangs on an outlet."""
        made: list[Step] = []
        items = [node for node in block if not isinstance(node, tree.Endpoint)]
        for number, node in enumerate(items):
            last = branch and number == len(items) - 1
            if isinstance(node, tree.Item):
                made.extend(self.item(node, last, behind))
            else:
                move = self.move(node)
                if move is not None:
                    made.append(move)
        return tuple(made)

    def item(self, node: tree.Item, last: bool, behind: Origin = ()) -> list[Step]:
        """The steps that one item stands for; none if its kind is unknown (which is then a finding)."""
        atoms = node.phrases[0].atoms
        named = self._named(atoms)
        if named is None:
            words = [a for a in atoms if a.kind == "word"] or list(atoms)
            known = (*self.declared.kinds.names(), *self.declared.assemblies.names(), *STEP_WORDS)
            message = f"`{words_of(words)}` is no known kind of component"
            finding = unknown_words("unknown-kind", words, known, message)
            help = finding.help
            meant = nearest(words[0].text, ("from", "to"))
            if meant and len(atoms) > 1 and nearest(words_of(words), known) is None:
                help = f"write `{meant} {words_of(atoms[1:])}`"
            self.findings.items.append(replace(finding, help=_ELSEWHERE.get(words[0].text, help)))
            return []
        what, count = named
        details = Details()
        rest = (tree.Phrase(atoms[count:]), *node.phrases[1:]) if count < len(atoms) else node.phrases[1:]
        read_details(rest, details, self.findings)
        origin = (*behind, node.span)  # the line of the file first, that of the assembly behind it
        if isinstance(what, tree.Assembly):
            return self._assembly(what, node, details, origin, last)
        if what.ports == "mark":
            return self._mark(what, node)
        return self._component(what, node, details, origin, last)

    def _named(self, atoms: Sequence[tree.Atom]) -> tuple[Kind | tree.Assembly, int] | None:
        """The longest run of leading words that names an assembly or a kind, and how many words it takes."""
        words = 0
        while words < len(atoms) and atoms[words].kind == "word":
            words += 1
        for count in range(words, 0, -1):
            text = words_of(atoms[:count])
            assembly = self.declared.assemblies.find(text)
            kind = self.declared.kinds.find(text)
            if assembly is not None and not (assembly in self.inside and kind is not None):
                return assembly, count
            if kind is not None:
                return kind, count
        return None

    def _assembly(
        self, assembly: tree.Assembly, node: tree.Item, details: Details, origin: Origin, last: bool
    ) -> list[Step]:
        if assembly in self.inside:
            self.findings.add(
                "includes-itself",
                f"assembly `{assembly.name.text}` includes itself",
                node.span,
                notes=(Note("it is declared here", assembly.span),),
                help="take this line out, or name what stands here",
            )
            return []
        size = details.sizes[0] if details.sizes else assembly_size(assembly)
        deeper = StepReader(self.declared, self.findings, (*self.inside, assembly))
        branch = deeper.steps(assembly.block, branch=True, behind=origin)
        purposes = [r for r in ("drain", "vent") if any(p.text == r + "s" for p in assembly.details)]
        role = purposes[0] if purposes else assembly.name.text
        branch = _stamp(branch, role, details, origin)
        if node.block:
            side = self.steps(node.block, branch=True)
            tee = self.declared.kinds["tee"]
            branch = (ItemStep(tee, origin, branch=side, branch_size=_first_size(side) or size), *branch)
        if last:
            return [_sized(step, size) for step in branch]
        if size is None and not details.broken:
            self.findings.add(
                "size-missing",
                f"the size of this {assembly.name.text} is not said",
                node.span.after(),
                help=f"write `{assembly.name.text} 3/4`",
            )
            return []
        tee = self.declared.kinds["tee"]
        why = f"outlet for the {assembly.name.text}"
        return [ItemStep(tee, origin, branch=branch, branch_size=size, why=why)]

    def _mark(self, kind: Kind, node: tree.Item) -> list[Step]:
        """Something that stands on the pipe and is no part of its way."""
        return [Move((), node.span, mark=kind.name)]

    def _component(self, kind: Kind, node: tree.Item, details: Details, origin: Origin, last: bool) -> list[Step]:
        side = self.steps(node.block, branch=True)
        size = details.sizes[0] if details.sizes else None
        branch_size = None
        if len(details.sizes) > 1 and kind.ports not in ("tee", "three-way") and kind.name != "reducer":
            said = " and ".join(s.label for s in details.sizes)
            help = "write one; pipe of another size before or behind it follows from the line"
            self.findings.add("two-sizes", f"a {kind.name} has one size, not {said}", node.span, help=help)
        if kind.ports == "tee":
            branch_size, size = size, None
            if len(details.sizes) > 1:
                size, branch_size = details.sizes[0], details.sizes[1]
        elif kind.name == "reducer":
            size = details.sizes[-1] if details.sizes else None
        step = ItemStep(
            kind,
            origin,
            details.tag,
            size,
            details.ask,
            details.closed,
            "",
            tuple(details.remarks),
            details.hand,
            side,
            branch_size or _first_size(side),
            fitted=details.fitted,
            weight_lb=details.weight_lb,
        )
        if kind.ports == "end" and not last and size is None and kind.choices[0].form == "flange":
            self.findings.add(
                "nothing-passes",
                f"nothing passes a {kind.name}: the line goes on behind it",
                node.span,
                help=f"write it last in its line, which it then closes; for one on an outlet say its size "
                f"(`{kind.name} 2`); to part a line for a while write `spectacle blind`",
            )
            return []
        if kind.ports == "end" and not last:
            outlet = size or kind.choices[0].low
            tee = self.declared.kinds["tee"]
            return [
                ItemStep(
                    tee, origin, branch=(_sized(step, outlet),), branch_size=outlet, why=f"outlet for the {kind.name}"
                )
            ]
        if side and kind.ports not in SIDE_PORTS and not kind.can("strains"):
            tee = self.declared.kinds["tee"]
            bare = _sized(step, size, branch=())
            return [
                bare,
                ItemStep(tee, origin, branch=side, branch_size=_first_size(side), why=f"branch at the {kind.name}"),
            ]
        return [step]

    def move(self, node: tree.Move | tree.Through) -> Move | None:
        """A move with its lengths in inches; None if a length of it is wrong (which is then a finding)."""
        if isinstance(node, tree.Through):
            where, details = read_place(node.details, self.findings)
            return Move((), node.span, through=node.what.text, hole_in=self._hole(details), place=where)
        legs: list[Leg] = []
        about = False
        for leg in node.legs:
            length = self._length(leg.length) if leg.length is not None else None
            if leg.length is not None and length is None:
                return None
            about |= leg.about
            legs.append(Leg(leg.direction.text, length))
        length = self._length(node.length) if node.length is not None else None
        if node.length is not None and length is None:
            return None
        field_fit = at_45 = short_radius = False
        pitch: Fraction | None = None
        for phrase in node.details:
            text = phrase.text
            if text == "field fit":
                field_fit = True
            elif text in ("at 45", "at 45 deg", "at 45 degrees"):
                at_45 = True
            elif text == "short radius":
                short_radius = True
            elif text.startswith("pitch") and len(phrase.atoms) > 1:
                pitch = self._pitch(phrase)
            else:
                self.findings.items.append(
                    unknown_words(
                        "unknown-detail",
                        phrase.atoms,
                        ("field fit", "at 45", "pitch 1/8 in per ft", "short radius"),
                        f"`{text}` says nothing of a move",
                    )
                )
        if len(legs) > 1 and not at_45:
            self.findings.add(
                "offset-angle-missing",
                "a move in two directions at once is an offset; its angle is not said",
                node.span,
                help="add `at 45`, or write the directions on lines of their own",
            )
        return Move(
            tuple(legs), node.span, length, about or (not legs), field_fit, at_45, pitch, short_radius=short_radius
        )

    def _pitch(self, phrase: tree.Phrase) -> Fraction | None:
        """Inches per foot; a pitch falls as the line is written, unless it says `pitch up`."""
        words = [atom.text for atom in phrase.atoms[1:-1]]
        value = quantity(phrase.atoms[-1], "slope", self.findings)
        if words not in ([], ["up"], ["down"]):
            known = ("pitch 1/8 in per ft", "pitch up 1/8 in per ft", "pitch down 1/8 in per ft")
            message = f"`{phrase.text}` says nothing of a pitch"
            self.findings.items.append(unknown_words("unknown-detail", phrase.atoms, known, message))
        return None if value is None else Fraction(value) * (1 if words == ["up"] else -1)

    def _hole(self, details: Sequence[tree.Phrase]) -> Fraction | None:
        """Inside diameter of a penetration: of a standard-wall steel sleeve (`hole 6`), or as cut (`hole 6-1/2 in`)."""
        for phrase in details:
            atoms = phrase.atoms
            if len(atoms) == 2 and atoms[0].text in ("hole", "sleeve"):
                if atoms[1].kind == "quantity":
                    return self._length(atoms[1])
                size = read_size(atoms[1], self.findings)
                pipe = steel_pipe(size, "STD") if size is not None else None
                return pipe.id if pipe is not None else None
            message = f"`{phrase.text}` says nothing of a penetration"
            help = "write the inside of its hole or sleeve, such as `hole 6` or `hole 6-1/2 in`"
            self.findings.add("unknown-detail", message, phrase.span, help=help)
        return None

    def _length(self, atom: tree.Atom) -> Fraction | None:
        value = quantity(atom, "length", self.findings)
        if value is None:
            return None
        if value <= 0:
            self.findings.add(
                "not-positive",
                f"the length of a move cannot be `{atom.text}`",
                atom.span,
                help="write a length above zero; the direction says which way the line goes",
            )
            return None
        return Fraction(value)


def assembly_size(assembly: tree.Assembly) -> Size | None:
    """The size an assembly has unless its user says another."""
    for phrase in assembly.details:
        if phrase.atoms[0].kind == "size":
            return find_size(phrase.atoms[0].text)
    return None


def _first_size(steps: Sequence[Step]) -> Size | None:
    return next((s.size for s in steps if isinstance(s, ItemStep) and s.size is not None), None)


def _sized(step: Step, size: Size | None, **changes: object) -> Step:
    if isinstance(step, Move):
        return step
    return replace(step, size=step.size or size, **changes)  # type: ignore[arg-type]


def _stamp(steps: tuple[Step, ...], role: str, details: Details, origin: Origin) -> tuple[Step, ...]:
    """Give the items of an assembly its role, and the one that the user's tag is meant for the tag and remarks."""
    tagged = _tagged(steps) if details.tag or details.remarks or details.weight_lb else -1
    made: list[Step] = []
    for number, step in enumerate(steps):
        if isinstance(step, ItemStep):
            own: dict[str, Any] = {}
            if number == tagged:
                own["tag"], own["remarks"] = details.tag, (*step.remarks, *details.remarks)
                own["weight_lb"] = details.weight_lb or step.weight_lb
            if step.branch:
                own["branch"] = _stamp(step.branch, role, Details(), origin)
            step = replace(step, role=step.role or role, **own)
        made.append(step)
    return tuple(made)


def _tagged(steps: tuple[Step, ...]) -> int:
    """Which item of an assembly a tag names: the instrument if there is one, else the valve, else the first item."""
    items = [(n, s) for n, s in enumerate(steps) if isinstance(s, ItemStep)]
    for ability in ("measures", "vents by itself", "isolates"):
        for number, step in items:
            if step.kind.can(ability):
                return number
    return items[0][0] if items else -1
