"""From syntax trees to what the files declare: services, specs, kinds, assemblies, typicals, units, settings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from ..model.declared import RuleSettings, Service, Spec, TakeoffSettings
from ..model.finding import Findings, Note
from ..model.size import Size
from ..model.span import Span
from ..source import tree
from .kinds import KindBook
from .library import SPEC_NAMES, assembly_names, shipped_assemblies, shipped_spec
from .read_kinds import read_kind, read_lengths, read_weights
from .read_rules import read_rules
from .read_service import read_service
from .read_spec import read_spec
from .read_takeoff import read_takeoff


class SpecBook(Mapping[str, Spec]):
    """The file's own specs, and behind them those of the shipped library, read only when asked for."""

    def __init__(self) -> None:
        self.own: dict[str, Spec] = {}

    def __getitem__(self, name: str) -> Spec:
        found = self.own.get(name) or shipped_spec(name)
        if found is None:
            raise KeyError(name)
        return found

    def __contains__(self, name: object) -> bool:
        return name in self.own or name in SPEC_NAMES

    def __iter__(self) -> Iterator[str]:
        return iter(dict.fromkeys((*self.own, *SPEC_NAMES)))

    def __len__(self) -> int:
        return sum(1 for _ in self)


class AssemblyBook:
    """The file's own assemblies, and behind them the shipped ones, by name and synonym."""

    def __init__(self) -> None:
        self.own: dict[str, tree.Assembly] = {}

    def find(self, words: str) -> tree.Assembly | None:
        """The assembly that `words` name."""
        return self.own.get(words) or shipped_assemblies().get(words)

    def names(self) -> tuple[str, ...]:
        """All names, for proposing the nearest."""
        return (*self.own, *shipped_assemblies())


#: What no hookup is made from, save its own typical or unit.
_NOT_BEHIND = (tree.Project, tree.Rules, tree.Takeoff, tree.Typical, tree.Unit, tree.Use)


@dataclass(slots=True)
class Declared:
    """Everything that the files of one run declare."""

    project: str = ""
    services: dict[str, Service] = field(default_factory=dict)
    specs: SpecBook = field(default_factory=SpecBook)
    kinds: KindBook = field(default_factory=KindBook)
    lengths: dict[tuple[str, str, Size], Fraction] = field(default_factory=dict)
    weights: dict[tuple[str, str, Size], float] = field(default_factory=dict)
    assemblies: AssemblyBook = field(default_factory=AssemblyBook)
    typicals: dict[str, tree.Typical] = field(default_factory=dict)
    units: dict[str, tree.Unit] = field(default_factory=dict)
    takeoff: TakeoffSettings = field(default_factory=TakeoffSettings)
    rules: RuleSettings = field(default_factory=RuleSettings)
    file: str = ""  # the one that is compiled; the others are those it uses
    #: Which nodes are behind hookups, besides their own typical or unit, by identity; and what is behind plans, which
    #: know kinds and assemblies, and of services only the names.
    behind_hookups: tuple[int, ...] = ()
    behind_plans: tuple[int | str, ...] = ()


def declare(trees: Sequence[tree.Tree], findings: Findings) -> Declared:
    """Read the declarations of some files, in order.

    Finds: a name declared twice, services that name no known spec, and what the readers of the blocks find.
    """
    declared = Declared()
    places: dict[tuple[str, str], Span] = {}

    def first(what: str, atom: tree.Atom) -> bool:
        """Whether this is the first of its name; a second one is a finding."""
        before = places.setdefault((what, atom.text), atom.span)
        if before is atom.span:
            return True
        findings.add(
            "declared-twice",
            f"{what} `{atom.text}` is declared twice",
            atom.span,
            notes=(Note("first declared here", before),),
            help="rename one of them, or take it out",
        )
        return False

    nodes = [node for one in trees for node in one.statements]
    declared.file = trees[-1].file if trees else ""
    declared.behind_hookups = tuple(id(node) for node in nodes if not isinstance(node, _NOT_BEHIND))
    for node in nodes:
        match node:
            case tree.Project():
                declared.project = declared.project or node.title.text
            case tree.KindDef():
                kind = read_kind(node, declared.kinds, findings)
                if kind is not None:
                    declared.kinds.add(kind)
            case tree.Spec() if first("spec", node.name):
                declared.specs.own[node.name.text] = read_spec(node, declared.specs, findings)
            case tree.Assembly():
                for name in assembly_names(node):
                    declared.assemblies.own[name] = node
            case tree.Service() if first("service", node.name):
                declared.services[node.name.text] = read_service(node, findings)
            case tree.Typical() if first("typical", node.name):
                declared.typicals[node.name.text] = node
            case tree.Unit() if first("unit", node.tag):
                declared.units[node.tag.text] = node
            case tree.Rules():
                read_rules(node, declared.rules, findings)
            case tree.Takeoff():
                read_takeoff(node, declared.takeoff, findings)
            case _:
                pass
    for node in nodes:
        if isinstance(node, tree.Lengths):
            declared.lengths.update(read_lengths(node, declared.kinds, findings))
        elif isinstance(node, tree.Weights):
            declared.weights.update(read_weights(node, declared.kinds, findings))
    words = (id(node) for node in nodes if isinstance(node, tree.KindDef | tree.Assembly))
    declared.behind_plans = (*words, *declared.services)
    return declared
