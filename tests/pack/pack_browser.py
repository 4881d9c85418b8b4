"""A page in a real headless Chromium; where there is none, the test is skipped and says so."""

import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest

#: Names under which Debian and others install it.
NAMES = ("chromium", "chromium-browser", "google-chrome")


def chromium(folder: Path, *words: str) -> subprocess.CompletedProcess:
    """Run it on a profile of its own in `folder`; standard error holds what the page says on its console."""
    program = next(filter(None, map(shutil.which, NAMES)), None)
    if program is None:
        pytest.skip("no Chromium here (Debian: apt install chromium): the page is not looked at in a browser")
    command = [program, "--headless", "--disable-gpu", "--no-first-run", "--allow-file-access-from-files"]
    command += [f"--user-data-dir={folder / 'profile'}", "--enable-logging=stderr", "--hide-scrollbars"]
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        command.append("--no-sandbox")
    done = subprocess.run([*command, *words], capture_output=True, text=True, timeout=300)
    if done.returncode:
        pytest.skip(f"Chromium does not start here: {done.stderr[-300:]}")
    return done


def console(done: subprocess.CompletedProcess) -> list[str]:
    """What the page said on its console."""
    return [line for line in done.stderr.splitlines() if "CONSOLE" in line]


def measured(folder: Path, page: Path, width: int, script: str) -> dict:
    """What `script` (the body of a function of `doc`, the page's document) gives in a window so many pixels wide."""
    frame = folder / "frame.html"
    frame.write_text(
        f'<!doctype html><iframe id="f" style="width:{width}px;height:800px;border:0" src="{page.as_uri()}"></iframe>'
        '<pre id="told"></pre><script>document.getElementById("f").onload = async function () {'
        "const doc = this.contentDocument, win = this.contentWindow;"
        f"const made = await (async () => {{ {script} }})();"
        'document.getElementById("told").textContent = "told:" + encodeURIComponent(JSON.stringify(made)) + ":told";'
        "}</script>",
        encoding="utf-8",
    )
    done = chromium(folder, "--virtual-time-budget=60000", "--dump-dom", frame.as_uri())
    from urllib.parse import unquote

    return json.loads(unquote(done.stdout.partition("told:")[2].partition(":told")[0]))
