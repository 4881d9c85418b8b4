"""What is loaded when."""

import subprocess
import sys

import coilwright
import pytest

HEAVY = {"lark", "networkx", "pint", "jinja2", "numpy", "highspy", "xlsxwriter"}
_LIST_MODULES = """
import sys
before = set(sys.modules)
from coilwright.cli import main
code = main(sys.argv[1:])
print("\\n".join(sorted(set(sys.modules) - before)), file=sys.stderr)
sys.exit(code)
"""


def loaded(*words: str) -> tuple[str, set[str]]:
    """What a command prints, and the modules that it loads beyond those of Python's own start."""
    ran = subprocess.run(
        [sys.executable, "-c", _LIST_MODULES, *words], capture_output=True, text=True, timeout=60, check=False
    )
    assert ran.returncode == 0, ran.stderr
    return ran.stdout, set(ran.stderr.split())


def test_version_loads_next_to_nothing() -> None:
    out, modules = loaded("--version")
    assert out == f"coilwright {coilwright.__version__}\n"
    assert not modules & HEAVY
    assert not modules & {"argparse", "dataclasses", "importlib.metadata", "re"}
    assert len(modules) < 12


@pytest.mark.parametrize("words", [["--help"], ["check", "--help"]])
def test_help_loads_nothing_heavy(words: list[str]) -> None:
    _, modules = loaded(*words)
    assert not modules & HEAVY
    assert "argparse" in modules  # the listing of modules works


@pytest.mark.parametrize("form", ["text", "csv", "json", "md"])
def test_no_renderer_needs_templates_or_the_graph(form: str) -> None:
    script = f"""
import sys
from coilwright.report.document import render
from coilwright.report.result import Result
from coilwright.model.table import Table
from coilwright.model.finding import Finding
from coilwright.model.span import Span
render([Result("f", (Finding("a", "must", "b", Span("f", 1, 1, 1, 2)),), {{}}, (Table("t", "T", (), ()),))], {form!r})
assert not {HEAVY!r} & set(sys.modules), sorted(sys.modules)
"""
    subprocess.run([sys.executable, "-c", script], timeout=60, check=True)


def test_python_dash_m_is_the_same_command() -> None:
    ran = subprocess.run([sys.executable, "-m", "coilwright", "--version"], capture_output=True, timeout=60, check=True)
    assert ran.stdout.decode().strip() == f"coilwright {coilwright.__version__}"
