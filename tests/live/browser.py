"""A headless Chromium for tests, through its DevTools protocol; those that need it are skipped where there is none."""

from __future__ import annotations

import contextlib
import json
import shutil
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from websockets.sync.client import ClientConnection, connect

_PROGRAM = shutil.which("chromium") or shutil.which("chromium-browser")
needs_chromium = pytest.mark.skipif(_PROGRAM is None, reason="no chromium here: apt-get install chromium")

_FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--remote-debugging-port=0",
]


class Tab:
    """One page. `troubles`: what went to its console as an error, exceptions, and answers that failed."""

    def __init__(self, socket: ClientConnection) -> None:
        self._socket = socket
        self._number = 0
        self._session = ""
        self.troubles: list[str] = []
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        self._session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Log"):
            self.call(f"{domain}.enable")

    def call(self, method: str, **parameters: Any) -> dict[str, Any]:
        """One command and its result."""
        self._number += 1
        message = {"id": self._number, "method": method, "params": parameters}
        if self._session:
            message["sessionId"] = self._session
        self._socket.send(json.dumps(message))
        while True:
            answer = json.loads(self._socket.recv(timeout=60))
            self._note(answer)
            if answer.get("id") == self._number:
                assert "error" not in answer, answer["error"]
                return answer["result"]

    def _note(self, event: dict[str, Any]) -> None:
        about = event.get("params", {})
        if event.get("method") == "Runtime.exceptionThrown":
            self.troubles.append(json.dumps(about["exceptionDetails"])[:500])
        elif event.get("method") == "Log.entryAdded" and about["entry"]["level"] == "error":
            self.troubles.append(about["entry"]["text"])
        elif event.get("method") == "Runtime.consoleAPICalled" and about["type"] in ("error", "assert"):
            self.troubles.append(json.dumps(about["args"])[:500])

    def open(self, address: str) -> None:
        self.call("Page.navigate", url=address)
        self.until("document.readyState === 'complete'")

    def ask(self, expression: str) -> Any:
        """What an expression of JavaScript gives."""
        answer = self.call("Runtime.evaluate", expression=expression, returnByValue=True, awaitPromise=True)
        assert "exceptionDetails" not in answer, answer["exceptionDetails"]
        return answer["result"].get("value")

    def until(self, expression: str, seconds: float = 20) -> None:
        """Wait until an expression gives something true."""
        end = time.monotonic() + seconds
        while not self.ask(f"Boolean({expression})"):
            assert time.monotonic() < end, (
                f"never true: {expression}; on the page: {self.ask('document.body.innerText')[:300]}"
            )
            time.sleep(0.03)

    def size(self, width: int, height: int) -> None:
        self.call(
            "Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=width < 600
        )

    def point_at(self, selector: str) -> None:
        """Move the mouse onto an element."""
        x, y = self.ask(
            f"(() => {{ const e = document.querySelector({json.dumps(selector)});"
            " e.scrollIntoView({block: 'center', inline: 'center'}); const b = e.getBoundingClientRect();"
            " return [b.x + Math.min(b.width, 200) / 2, b.y + b.height / 2]; })()"
        )
        self.call("Input.dispatchMouseEvent", type="mouseMoved", x=x, y=y)

    def press(self, key: str) -> None:
        text = "\r" if key == "Enter" else ""
        for kind in ("keyDown", "keyUp"):
            self.call("Input.dispatchKeyEvent", type=kind, key=key, code=key, text=text if kind == "keyDown" else "")

    def picture(self, path: Path) -> None:
        import base64

        path.write_bytes(base64.b64decode(self.call("Page.captureScreenshot")["data"]))


@contextlib.contextmanager
def chromium(folder: Path) -> Iterator[Tab]:
    """A browser with one tab; `folder` is an empty one for its profile."""
    assert _PROGRAM is not None
    program = subprocess.Popen(
        [_PROGRAM, *_FLAGS, f"--user-data-dir={folder}", "about:blank"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        told = folder / "DevToolsActivePort"
        end = time.monotonic() + 60
        while not (told.exists() and len(told.read_text().split()) == 2):
            assert time.monotonic() < end and program.poll() is None, "chromium does not start"
            time.sleep(0.05)
        port, path = told.read_text().split()
        with connect(f"ws://127.0.0.1:{port}{path}", max_size=None, compression=None) as socket:
            yield Tab(socket)
    finally:
        program.terminate()
        program.wait(30)
