"""`coilwright serve`: the live page, until Ctrl-C."""

from __future__ import annotations

import asyncio
import os
import sys
from argparse import Namespace
from importlib.util import find_spec

from ..report.trouble import Trouble
from .inputs import gather

_NEEDED = ("starlette", "uvicorn", "watchfiles")


def run(arguments: Namespace) -> int:
    """Serve one file or folder; 0 when it is ended from the keyboard. Raises Trouble."""
    word: str = arguments.inputs[0]
    if len(arguments.inputs) > 1 or word == "-":
        raise Trouble("`serve` shows one file or one folder")
    missing = [name for name in _NEEDED if find_spec(name) is None]
    if missing:
        raise Trouble(f"`serve` needs {', '.join(missing)}: pip install 'coilwright[live]'")
    from ..live.making import Inputs
    from ..live.serving import Live
    from ..pack import Options

    def find() -> Inputs:
        found = gather([word], "")
        return Inputs([one.name for one in found], frozenset(one.name for one in found if one.in_folder))

    find()
    below = os.path.isdir(word)
    folder = word if below else os.path.dirname(os.path.realpath(word))
    live = Live(find, folder, below=below, port=arguments.port, options=Options(units=arguments.units))

    def ready() -> None:
        if not arguments.quiet:
            print(f"{word} is shown at {live.address} and follows each save; Ctrl-C ends it", flush=True)

    try:
        asyncio.run(live.run(ready))
    except KeyboardInterrupt:
        if not arguments.quiet:
            print("", file=sys.stderr)
    finally:
        live.close()
    return 0
