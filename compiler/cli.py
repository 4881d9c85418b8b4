"""The command `coilwright`. Imports nothing until it knows what is asked; what a command needs, it loads itself."""

from __future__ import annotations

import sys

from .version import __version__

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence

#: Exit codes. 141 is what a shell reports of a program whose reader went away, 130 of one that was interrupted.
CLEAN, FOUND, UNUSABLE, INTERRUPTED, UNREAD = 0, 1, 2, 130, 141


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and give its exit code: 0 clean, 1 findings of `must`, 2 nothing usable came out."""
    words = list(sys.argv[1:] if argv is None else argv)
    if words == ["--version"]:
        print(f"coilwright {__version__}")
        return CLEAN
    try:
        return _run(words)
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        from .report.write import drop_stdout

        drop_stdout()
        return UNREAD
    except Exception as error:
        from .report.trouble import Trouble

        if isinstance(error, Trouble):
            print(f"coilwright: {error}", file=sys.stderr)
            return UNUSABLE
        return _our_bug(error, words)


def _run(words: list[str]) -> int:
    import gc

    from .commands.parser import parse

    # A compilation makes many objects and drops few, and the command ends when it is done: looking for rubbish costs
    # a sixth of the time and finds none.
    gc.disable()
    arguments = parse(words)
    if isinstance(arguments, int):
        return arguments
    if arguments.command == "check":
        from .commands.check import run
    elif arguments.command == "takeoff":
        from .commands.takeoff import run
    elif arguments.command == "price":
        from .commands.price import run
    elif arguments.command == "pack":
        from .commands.pack import run
    elif arguments.command == "serve":
        from .commands.serve import run
    elif arguments.command == "compare":
        from .commands.compare import run
    else:
        from .commands.why import run
    return run(arguments)


def _our_bug(error: Exception, words: list[str]) -> int:
    import platform

    if "--debug" in words:
        import traceback

        traceback.print_exc()
    said = " ".join(str(error).split())[:200]
    print(
        f"coilwright: this is our bug, not a mistake in your file: {type(error).__name__}: {said}\n"
        f"coilwright {__version__}, Python {platform.python_version()}, {platform.system()} {platform.machine()}\n"
        "Please report it with the file and what `--debug` adds to this command.",
        file=sys.stderr,
    )
    return UNUSABLE


if __name__ == "__main__":
    raise SystemExit(main())
