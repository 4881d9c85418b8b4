"""The corpus: every form of the language with its tree, and broken texts with all that is said of them.

A case is a name between two rulers, the text, `---`, and what is expected. A broken text has lines `:error LINE RULE`
under its name, written by hand, and its findings in full above the tree.

Run this file as a program to write what is expected anew, and read the difference.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import pytest
from coilwright.source import tree
from coilwright.source.parser import parse_text
from source_dump import dump

FOLDER = Path(__file__).parent.parent / "corpus"
_CASE = re.compile(
    r"^={5,}\n(?P<head>(?:(?!=====).*\n)+)={5,}\n(?P<text>(?:.*\n)*?)---\n(?P<wanted>(?:(?!=====).*\n?)*)", re.M
)


@dataclass(frozen=True)
class Case:
    place: str
    head: str
    text: str
    wanted: str

    @property
    def errors(self) -> list[tuple[int, str]]:
        found = [line.split() for line in self.head.splitlines()[1:]]
        return [(int(line), rule) for _, line, rule in found]


def read_cases(path: Path) -> list[Case]:
    return [Case(path.name, m["head"], m["text"], m["wanted"].strip()) for m in _CASE.finditer(path.read_text("utf-8"))]


CASES = [case for path in sorted(FOLDER.glob("*.txt")) for case in read_cases(path)]


def outcome(text: str) -> str:
    """What the parser makes of a text, as the corpus shows it."""
    made, findings = parse_text(text, "case")
    said = []
    for f in findings:
        s = f.span
        said.append(f"{s.line}:{s.column}-{s.end_column} {f.message} [{f.rule}]{f'; {f.help}' if f.help else ''}")
    return "\n".join([*said, *([""] if said else []), dump(made)]).strip()


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c.place}:{c.head.splitlines()[0]}")
def test_case(case: Case) -> None:
    _, findings = parse_text(case.text, "case")
    assert [(f.span.line, f.rule) for f in findings] == case.errors
    assert outcome(case.text) == case.wanted


def test_every_kind_of_node_is_in_the_corpus() -> None:
    kinds = {k.__name__ for union in (tree.Statement, tree.Part, tree.Step) for k in union.__args__}
    whole = "\n".join(case.wanted for case in CASES if not case.errors)
    assert [k for k in sorted(kinds | {"Change", "Fact"}) if not re.search(rf"^ *{k}\b", whole, re.M)] == []


def test_names_of_cases_are_unique() -> None:
    names = [(case.place, case.head) for case in CASES]
    assert len(names) == len(set(names)) > 40


if __name__ == "__main__":
    for path in sorted(FOLDER.glob("*.txt")):
        ruler = "=" * 20
        cases = [f"{ruler}\n{c.head}{ruler}\n{c.text}---\n{outcome(c.text)}\n" for c in read_cases(path)]
        path.write_text("\n".join(cases), "utf-8")
