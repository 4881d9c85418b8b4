"""The gallery of messages: one runnable sample a kind of finding, its real output in `docs/messages.md`.

A sample yields the findings of its own name and no other: one mistake, one finding. Samples of the rules are the
failing cases beside the rules' tests. A folder is a sample of several files.
"""

import ast
import re
import runpy
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import coilwright
import pytest
from coilwright import Batch, Compilation, compile_file, compile_files
from coilwright.model.finding import Finding
from coilwright.report import findings_text
from coilwright.rules.registry import all_rules

HERE = Path(__file__).parent
PAGE = HERE.parents[1] / "docs" / "messages.md"
PACKAGE = Path(coilwright.__file__).parent
RULE_SAMPLES = {rule: HERE.parent / "rules" / "cases" / f"{rule}.fail.hookup" for rule in all_rules()}
JOBS = {path.name: path for path in sorted(HERE.iterdir()) if path.is_dir() and any(path.glob("*.hookup"))}
SAMPLES = {path.stem: path for path in sorted(HERE.glob("*.hookup"))} | RULE_SAMPLES | JOBS
#: The message names the file and why; what to do about it lies outside the hookup.
ITS_REASON_IS_ITS_MEND = {"file-unreadable", "uses-itself"}
#: The first stands behind a hundred others (the parser's tests hold it); the second needs a pack of rules installed.
NOT_SHOWN = {"too-many-mistakes", "rule-failed"}
#: Trim that small samples leave out; the rules that ask for it have samples of their own.
LEFT_OUT = runpy.run_path(str(HERE.parent / "rules" / "hookups.py"))["LEFT_OUT"]
#: Far enough on for the one sample whose acceptance has run out.
TODAY = "2027-01-01"
#: `not-a-` and one of these: what a quantity was wanted of. The other dimensions are asked for by no line yet.
DIMENSIONS = ("flow", "fraction", "length", "mass", "pressure", "slope", "temperature", "time", "velocity", "volume")
HEAD = """# Messages

Every kind of finding, with a sample that brings it about. Made by `pytest tests/messages --bless` from the files in
`tests/messages/` and `tests/rules/cases/`; a test fails when it is stale. `error`: the file cannot be compiled as it
stands; `must`, `should` and `note` are the trade's grades ([rules](rules.md)).
"""


def test_every_kind_of_finding_has_a_sample() -> None:
    made = {name for path in PACKAGE.rglob("*.py") for name in _kinds_made_in(path)}
    assert made | {f"not-a-{dimension}" for dimension in DIMENSIONS} == set(SAMPLES) | NOT_SHOWN


@pytest.mark.parametrize("name", SAMPLES)
def test_sample_yields_its_own_finding_and_no_other(name: str) -> None:
    assert {f.rule for f in compiled(name).findings} == {name}


@pytest.mark.parametrize("name", SAMPLES)
def test_wording(name: str) -> None:
    for finding in compiled(name).findings:
        texts = [finding.message, finding.label, finding.help, *(note.text for note in finding.notes)]
        for text in filter(None, texts):
            assert not text.endswith("."), text
            assert text[0] == "`" or text[0].islower() or text[0].isdigit(), text
            assert text.count("`") % 2 == 0, text
            assert not re.search(r"\b(token|parse|syntax|identifier|invalid|null|None|node|lexer|did you mean)\b", text)
            for tag in re.findall(r"\b[A-Z]{2,4}-[*\d]+\b", re.sub(r"`[^`]*`", "", text)):
                raise AssertionError(f"{tag} stands without backticks in: {text}")
        assert finding.help or name in ITS_REASON_IS_ITS_MEND, "nothing says how to mend it"


@pytest.mark.parametrize("name", SAMPLES)
def test_underlined_words_lie_in_the_file(name: str) -> None:
    result = compiled(name)
    for finding in result.findings:
        line = result.sources[finding.span.file].split("\n")[finding.span.line - 1]
        assert 1 <= finding.span.column <= finding.span.end_column
        assert finding.span.end_line > finding.span.line or finding.span.end_column <= len(line) + 1


def test_page_is_fresh(golden: Callable[[Path, str], None]) -> None:
    table = ["| name | grade | where | message |", "|---|---|---|---|"]
    parts = []
    for name in sorted(SAMPLES):
        found = _shown(compiled(name))
        first = found[0]
        place = f"{first.span.line}:{first.span.column}"
        table.append(f"| [{name}](#{name}) | {first.severity} | {place} | {first.message.replace('|', '&#124;')} |")
        texts = {Path(file).name: text for file, text in compiled(name).sources.items()}
        parts.append(f"## {name}\n\n```\n{findings_text.render(found, texts)}```\n")
    golden(PAGE, "\n".join([HEAD, *table, "", *parts]))


@dataclass
class Sample:
    """What is found in a sample, and its files."""

    findings: tuple[Finding, ...]
    sources: Mapping[str, str]


def compiled(name: str) -> Sample:
    """A sample compiled, without the findings on trim that it leaves out, unless it is the sample of one."""
    made: Batch | Compilation
    if name in JOBS:
        files = [str(path) for path in sorted(SAMPLES[name].glob("*.hookup"))]
        made = compile_files(files, today=TODAY, parts=files)
    else:
        made = compile_file(SAMPLES[name], today=TODAY)
    return Sample(tuple(f for f in made.findings if f.rule not in LEFT_OUT or f.rule == name), made.sources)


def _shown(result: Sample) -> list[Finding]:
    """The findings with bare file names, as if the sample lay in the reader's own folder."""

    def bare(text: str) -> str:
        return re.sub(r"[^\s`(]*/(?=[\w.-]+\.hookup)", lambda m: m[0] if m[0].startswith("..") else "", text)

    return [
        replace(
            finding,
            message=bare(finding.message),
            span=finding.span._replace(file=Path(finding.span.file).name),
            notes=tuple(
                replace(note, span=note.span and note.span._replace(file=Path(note.span.file).name))
                for note in finding.notes
            ),
        )
        for finding in result.findings
    ]


def _kinds_made_in(path: Path) -> Iterator[str]:
    """The names of findings written in calls in a source file: kebab-case words that lead the arguments."""
    for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(call, ast.Call):
            continue
        called = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
        if called.lstrip("_") not in ("add", "Finding", "unknown", "unknown_words", "once", "find", "finding", "rule"):
            continue
        for argument in call.args[:4]:
            if isinstance(argument, ast.Constant) and isinstance(argument.value, str):
                if re.fullmatch(r"[a-z]+(-[a-z]+)+", argument.value):
                    yield argument.value
                break
