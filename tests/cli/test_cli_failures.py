"""Our own failures, and a reader that goes away."""

import os
import subprocess
import sys
from pathlib import Path

import coilwright
import pytest
from conftest import Shell


def test_our_own_crash_is_three_lines(shell: Shell) -> None:
    shell.write(one="bug")
    ran = shell("takeoff", "one.hookup")
    assert ran.code == 2
    first, second, third = ran.err.splitlines()
    assert first == "coilwright: this is our bug, not a mistake in your file: RuntimeError: the matter"
    assert second.startswith(f"coilwright {coilwright.__version__}, Python 3.")
    assert "--debug" in third
    assert ran.out == ""


def test_debug_shows_where(shell: Shell) -> None:
    shell.write(one="bug")
    ran = shell("takeoff", "one.hookup", "--debug")
    assert ran.code == 2
    assert "Traceback" in ran.err
    assert "this is our bug" in ran.err


def test_an_interruption_is_quiet(shell: Shell, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupt(paths: list[str], **options: object) -> None:
        raise KeyboardInterrupt

    shell.write(one="")
    monkeypatch.setitem(coilwright.__dict__, "compile_files", interrupt)
    ran = shell("check", "one.hookup")
    assert (ran.code, ran.out, ran.err) == (130, "", "")


#: Prints more than a pipe holds, through our own output.
_LONG = """
import sys
from coilwright import cli
from coilwright.report.write import to_stdout
cli._run = lambda words: to_stdout("x" * 10_000_000) or 0
sys.exit(cli.main(["check"]))
"""


@pytest.mark.parametrize("options", [[], ["-u"]])
def test_all_of_a_long_output_arrives(options: list[str]) -> None:
    ran = subprocess.run([sys.executable, *options, "-c", _LONG], capture_output=True, timeout=30, check=True)
    assert len(ran.stdout) == 10_000_000


@pytest.mark.parametrize("options", [[], ["-u"]])
def test_a_reader_that_goes_away_is_no_error(options: list[str]) -> None:
    command = [sys.executable, *options, "-c", _LONG]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None and process.stderr is not None
        process.stdout.read(10)
        process.stdout.close()
        assert process.stderr.read() == b""
        assert process.wait(30) == 141


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no full device to write to")
def test_a_full_disk_is_said() -> None:
    with open("/dev/full", "wb") as full:
        ran = subprocess.run(
            [sys.executable, "-c", _LONG], stdout=full, stderr=subprocess.PIPE, timeout=30, check=False
        )
    assert ran.returncode == 2
    assert ran.stderr.decode().splitlines() == ["coilwright: cannot write to standard output: no space left on device"]


@pytest.mark.skipif(os.name != "posix", reason="closing a stream this way is a thing of POSIX shells")
def test_a_closed_standard_output_is_said() -> None:
    command = f'"{sys.executable}" -c "$0" >&-'
    ran = subprocess.run(["sh", "-c", command, _LONG], stderr=subprocess.PIPE, timeout=30, check=False)
    assert ran.returncode == 2
    assert b"there is no standard output to write to" in ran.stderr
    assert b"Traceback" not in ran.stderr
