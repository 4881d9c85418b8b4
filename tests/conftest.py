"""What all tests share: `--bless` rewrites golden files instead of comparing with them. Read the diff first."""

import os
import shutil
import subprocess
import tarfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

# CI tries the same examples every time, so that it judges the change and not its luck; elsewhere they are new each run.
# How long an example takes says something of the machine, and is judged by the benchmarks alone.
settings.register_profile("here", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "here")

#: The checks of axe-core that pages are held to; what it finds serious or critical is a fault.
AXE = "axe-core@4.14.1"

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


@pytest.fixture(scope="session")
def axe(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The script axe-core, as npm gives it."""
    if shutil.which("npm") is None:
        pytest.skip("no npm here: axe-core cannot be had, so the page is not checked with it")
    folder = tmp_path_factory.mktemp("axe")
    command = ["npm", "pack", "--silent", AXE]
    try:
        done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=120)
    except subprocess.TimeoutExpired:
        pytest.skip("npm does not answer: the page is not checked with axe-core")
    packed = list(folder.glob("*.tgz"))
    if done.returncode or not packed:
        pytest.skip(f"npm has no {AXE} for us: the page is not checked with it")
    with tarfile.open(packed[0]) as archive:
        script = archive.extractfile("package/axe.min.js")
        assert script is not None
        return script.read().decode()
