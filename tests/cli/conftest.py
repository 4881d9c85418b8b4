"""A compiler that compiles nothing: the text of a file says what comes out."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import coilwright
import pytest
from coilwright.cli import main
from coilwright.model.explanation import Explanation
from coilwright.model.finding import SEVERITIES, Finding
from coilwright.model.span import Span
from coilwright.model.table import Column, Row, Table


def table(name: str, file: str) -> Table:
    row = Row({"what": f"{name} of {Path(file).name}"}, (Span(file, 1, 1, 1, 5),))
    return Table(name, f"The {name}", (Column("what", "What"),), (row,))


@dataclass
class FakeCompilation:
    """A finding for every line that begins with a severity, `uses FILE` reads another file, `bug` is a crash."""

    name: str
    text: str

    @property
    def findings(self) -> tuple[Finding, ...]:
        return tuple(
            Finding("made-up", word, f"this is {word}", Span(self.name, number, 1, number, 1 + len(word)))
            for number, line in enumerate(self.text.splitlines(), 1)
            for word in SEVERITIES
            if line == word
        )

    @property
    def sources(self) -> Mapping[str, str]:
        used = [line.split()[1] for line in self.text.splitlines() if line.startswith("uses ")]
        beside = {str(Path(self.name).parent / name): "" for name in used}
        return {self.name: self.text, **beside}

    @property
    def broken(self) -> bool:
        return any(f.severity == "error" for f in self.findings)

    def tables(self, names: Sequence[str] | None = None) -> tuple[Table, ...]:
        if "bug" in self.text:
            raise RuntimeError("the\nmatter")
        return tuple(table(name, self.name) for name in names or ("bill", "joints"))

    def checker(self) -> Table:
        return table("checker", self.name)

    def sheets(self, *, short: bool = False) -> tuple[Table, ...]:
        return (self.checker(),)

    def why(self, subject: str) -> Explanation | None:
        if subject not in self.text:
            return None
        return Explanation(f"{subject} in {Path(self.name).name}", ("because",), (Span(self.name, 1, 1, 1, 2),))


@dataclass
class FakeBatch:
    """Some of them; its lists are those of the first file that is not broken."""

    compilations: list[FakeCompilation]

    @property
    def left_out(self) -> list[str]:
        return [one.name for one in self.compilations if one.broken]

    @property
    def broken(self) -> bool:
        return len(self.left_out) == len(self.compilations)

    @property
    def name(self) -> str:
        return f"{len(self.compilations)} files"

    @property
    def sources(self) -> Mapping[str, str]:
        return {name: text for one in self.compilations for name, text in one.sources.items()}

    def tables(self, names: Sequence[str]) -> tuple[Table, ...]:
        whole = [one for one in self.compilations if not one.broken]
        return tuple(table(name, "+".join(Path(one.name).name for one in whole)) for name in names)

    def why(self, subject: str) -> Explanation | None:
        return next((found for one in self.compilations if (found := one.why(subject))), None)


@pytest.fixture(autouse=True)
def _fake_compiler(monkeypatch: pytest.MonkeyPatch) -> None:
    """Put the fake in place of the compiler."""

    def compile_files(
        paths: Sequence[str],
        *,
        texts: Mapping[str, str],
        parts: Collection[str],
        today: str = "",
        progress: Callable[[int, int], None] | None = None,
    ) -> FakeBatch:
        made = [FakeCompilation(path, texts.get(path) or Path(path).read_text()) for path in paths]
        used = {name for one in made for name in one.sources if name != one.name}
        kept = [one for one in made if one.name not in parts or one.name not in used]
        for number, _ in enumerate(kept, 1):
            if progress is not None:
                progress(number, len(kept))
        return FakeBatch(kept)

    monkeypatch.setitem(coilwright.__dict__, "compile_files", compile_files)


@dataclass
class Ran:
    code: int
    out: str
    err: str


class Shell:
    """Runs commands in a folder of its own."""

    def __init__(self, capfd: pytest.CaptureFixture[str]) -> None:
        self.capfd = capfd

    def __call__(self, *words: str) -> Ran:
        self.capfd.readouterr()
        code = main(words)
        out, err = self.capfd.readouterr()
        return Ran(code, out, err)

    @staticmethod
    def write(**texts: str) -> None:
        """`write(gallery="must")` makes gallery.hookup; `__` parts folders."""
        for name, text in texts.items():
            path = Path(name.replace("__", "/") + ".hookup")
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text)


@pytest.fixture
def shell(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Shell:
    monkeypatch.chdir(tmp_path)
    for name in ("NO_COLOR", "FORCE_COLOR"):
        monkeypatch.delenv(name, raising=False)
    return Shell(capfd)
