"""The command: how it begins, how it ends, and what it says when it cannot."""

from __future__ import annotations

import signal
import socket
import subprocess
import sys
from pathlib import Path

from coilwright.cli import main

EXAMPLE = Path(__file__).parents[2] / "examples" / "one-coil.hookup"


def test_ctrl_c_ends_it_quietly_with_a_reader_connected(serve) -> None:
    with serve(EXAMPLE) as (address, process):
        port = int(address.rstrip("/").rsplit(":", 1)[1])
        with socket.create_connection(("127.0.0.1", port), timeout=10) as reader:
            reader.sendall(f"GET /events HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n".encode())
            assert b"200 OK" in reader.recv(100)
            process.send_signal(signal.SIGINT)
            out, err = process.communicate(timeout=15)
    assert process.returncode == 0 and not out.strip() and not err.strip()


def test_it_listens_on_loopback_only(serve) -> None:
    with serve(EXAMPLE) as (address, _):
        port = int(address.rstrip("/").rsplit(":", 1)[1])
        with socket.socket() as other:  # another address of this machine is still free
            other.bind(("127.0.0.2", port))
        assert address.startswith("http://127.0.0.1:")


def test_a_port_in_use_is_one_line(capsys) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        assert main(["serve", str(EXAMPLE), "--port", str(port)]) == 2
    said = capsys.readouterr().err
    assert said == f"coilwright: port {port} is in use; name another one with --port, or 0 for any that is free\n"


def test_bad_use_is_one_line(capsys, tmp_path: Path) -> None:
    for words in (["-"], [str(EXAMPLE), str(EXAMPLE)], [str(tmp_path)], [str(tmp_path / "none.hookup")]):
        assert main(["serve", *words, "--port", "0"]) == 2
        assert capsys.readouterr().err.count("\n") == 1
    assert main(["serve", str(EXAMPLE), "--port", "70000"]) == 2
    assert "`70000` is no port" in capsys.readouterr().err


def test_without_the_extra_it_says_how_to_get_it() -> None:
    script = (
        "import sys\n"
        "for name in ('starlette', 'uvicorn', 'watchfiles'): sys.modules[name] = None\n"
        "from coilwright.cli import main\n"
        f"sys.exit(main(['serve', {str(EXAMPLE)!r}]))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, timeout=60)
    assert done.returncode == 2
    assert done.stderr == "coilwright: `serve` needs starlette, uvicorn, watchfiles: pip install 'coilwright[live]'\n"


def test_other_commands_load_none_of_it() -> None:
    script = (
        "import sys; from coilwright.cli import main; main(['--version']); "
        f"main(['check', {str(EXAMPLE)!r}]); "
        "sys.exit(any(name in sys.modules for name in ('starlette', 'uvicorn', 'watchfiles', 'anyio')))"
    )
    assert subprocess.run([sys.executable, "-c", script], capture_output=True, timeout=60).returncode == 0
