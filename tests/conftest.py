"""What all tests share: `--bless` rewrites golden files instead of comparing with them. Read the diff first."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

# CI tries the same examples every time, so that it judges the change and not its luck; elsewhere they are new each run.
# How long an example takes says something of the machine, and is judged by the benchmarks alone.
settings.register_profile("here", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "here")

#: There is a conftest in `cli/` too: two modules of one name cannot both be searched for doctests.
collect_ignore_glob = ["*conftest.py"]


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--bless", action="store_true", help="rewrite golden files with what comes out now; read the diff")


@pytest.fixture
def golden(request: pytest.FixtureRequest) -> Callable[[Path, str], None]:
    """Compares a text with a golden file. With `--bless` the file is rewritten instead."""

    def compare(path: Path, text: str) -> None:
        if request.config.getoption("--bless"):
            path.parent.mkdir(exist_ok=True)
            path.write_text(text, encoding="utf-8")
        assert path.exists(), f"no {path.name} yet: run pytest --bless and read it"
        assert text == path.read_text(encoding="utf-8"), f"{path.name} differs: if that is meant, pytest --bless"

    return compare
