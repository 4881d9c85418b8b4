"""What can be said on the command line."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import get_args

from ..model.nearest import nearest
from ..report.document import FORMATS
from ..report.units import Units
from ..takeoff import DEFAULT_LISTS, LISTS
from ..version import __version__

_EPILOG = """\
examples:
  coilwright check gallery.hookup
  coilwright takeoff gallery.hookup --list bill --out bill.csv
  coilwright why gallery.hookup bill:12

exit codes (those of `compare` are with its own help):
  0  clean
  1  something is found that must be mended
  2  bad use, or a file that cannot be read, compiled or written
"""

_PRICE_LISTS = ("costs", "hours", "cost-summary", "no-price", "book-problems")

_CHECK = """\
Says what is missing or wrong in a hookup, then, for every coil of every unit, what drains and vents it, shuts it off
and frees it.
"""
_CHECK_EPILOG = """\
examples:
  coilwright check gallery.hookup
  coilwright check floors/                        every .hookup file in the folder and below
  coilwright check gallery.hookup --format md --out findings.md
  coilwright check - --stdin-filename gallery.hookup < draft.txt
"""

_TAKEOFF = """\
Prints the lists of what the units need: with several files, or a folder, those of all of them together. They are
printed also where something must be mended (exit code 1), but without a file that cannot be compiled (2).
"""
_TAKEOFF_EPILOG = """\
lists:
{lists}

examples:
  coilwright takeoff gallery.hookup
  coilwright takeoff gallery.hookup --list bill --list hands
  coilwright takeoff gallery.hookup --list bill --out bill.csv
  coilwright takeoff gallery.hookup --format csv --out lists/    one file a list
  coilwright takeoff gallery.hookup --out gallery.xlsx           a workbook, one sheet a list
  coilwright takeoff gallery.hookup --units metric
  coilwright takeoff floors/ --out floors.xlsx                   all files of a folder as one job
  coilwright takeoff floors/ --each --format csv --out lists/    and the lists of every file beside
"""

_PACK = """\
Writes everything for a job into a folder: index.html, one page to read, print or open on a phone; the drawings, the
lists as CSV, a workbook, JSON. A pack is written whole or not at all; one that was there is replaced.
"""
_PACK_EPILOG = """\
examples:
  coilwright pack gallery.hookup --out gallery-pack --revision B --date 2026-11-25
  coilwright pack floors/ --out floors-pack --units metric --pdf
"""

_SERVE = """\
Shows the pack of a file, or of all files of a folder, in a browser on this machine, and makes it anew at each save.
Point at a row, or tap it, and what it counts lights up in the diagrams; and the other way round. A file that does not
compile leaves the last good page, with what is wrong on top. Needs pip install 'coilwright[live]'.
"""
_SERVE_EPILOG = """\
examples:
  coilwright serve gallery.hookup
  coilwright serve floors/ --port 9000
"""

_WHY = """\
Says why something is there: what made it and which lines of the file are behind it. SUBJECT is a row of a list
(bill:12), a line of the file (41 or shop.hookup:41), a tag (BV-101) or the name of a rule (drain-missing).
"""
_WHY_EPILOG = """\
examples:
  coilwright why gallery.hookup bill:12
  coilwright why gallery.hookup 41
  coilwright why gallery.hookup BV-101
"""

_COMPARE = """\
Says what differs between two files or folders, or between one as it is and as it was in a git commit: what was added,
removed, resized, moved, retagged or changed, in which units, and what that does to the lists. Comments, the order of
blocks and how a length is written are no differences.
"""
_COMPARE_EPILOG = """\
examples:
  coilwright compare old.hookup new.hookup
  coilwright compare monday/ friday/ --list bill --list valves --out changes.xlsx
  coilwright compare gallery.hookup --git main~3
  coilwright compare gallery.hookup --git issued-1..issued-2
  coilwright compare gallery.hookup --bought bought.csv     what is still to be ordered, and what goes back

exit codes:
  0  nothing differs
  1  something differs
  2  bad use, or a file that cannot be read, compiled or written
"""

_PRICE = """\
Says what a job costs by your own books of prices and hours (CSV or XLSX). What finds no price is said, never guessed.
"""
_PRICE_EPILOG = """\
examples:
  coilwright price gallery.hookup --book prices.csv --book hours.xlsx
  coilwright price gallery.hookup --book prices.csv --book hours.csv --factor night --factor 'height=GA-1*'
  coilwright price gallery.hookup --book prices.csv --instead steel-welded=steel-grooved
"""


def parse(words: Sequence[str]) -> argparse.Namespace | int:
    """The arguments, or the exit code where argparse has said all there is to say (help, bad use)."""
    parser = _parser()
    try:
        arguments = parser.parse_args(words)
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else 2
    if arguments.command is None:
        import sys

        parser.print_help(sys.stderr)
        return 2
    return arguments


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="coilwright",
        description="From a coil hookup, written in flow order, to its findings and its lists.",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"coilwright {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", title="commands")

    def command(
        name: str, help: str, description: str, epilog: str, inputs: str = "a file, a folder, or - for standard input"
    ) -> argparse.ArgumentParser:
        sub = commands.add_parser(
            name,
            help=help,
            description=description,
            epilog=epilog,
            formatter_class=argparse.RawDescriptionHelpFormatter,
            allow_abbrev=False,
        )
        sub.add_argument("inputs", nargs="+", metavar="FILE", help=inputs)
        return sub

    check = command("check", "say what is missing or wrong", _CHECK, _CHECK_EPILOG)
    width = max(map(len, LISTS))
    lists = "\n".join(f"  {name:<{width}}  {text}" for name, text in LISTS.items())
    takeoff = command("takeoff", "print the lists", _TAKEOFF, _TAKEOFF_EPILOG.format(lists=lists))
    takeoff.add_argument(
        "--list",
        dest="lists",
        action="append",
        type=_list,
        metavar="NAME",
        help=f"a list to print, may be repeated (without it: {', '.join(DEFAULT_LISTS)})",
    )
    takeoff.add_argument("--each", action="store_true", help="with several files: the lists of every file too")
    pack = command("pack", "write everything for a job into a folder", _PACK, _PACK_EPILOG)
    pack.add_argument("--out", metavar="FOLDER", required=True, help="the folder to write into")
    pack.add_argument("--revision", metavar="TEXT", default="", help="the revision to print on it")
    pack.add_argument("--date", metavar="DATE", type=_date, help="the date to print on it, or `today`")
    pack.add_argument("--pdf", action="store_true", help="the same as a PDF too; needs the package typst")
    serve = command(
        "serve", "show the pack in a browser, and follow each save", _SERVE, _SERVE_EPILOG, "a file or a folder"
    )
    serve.add_argument("--port", type=_port, default=8470, help="the port on this machine (without it: 8470; 0: any)")
    why = command("why", "say why something is there", _WHY, _WHY_EPILOG)
    why.add_argument("subject", metavar="SUBJECT", help="a row, a line, a tag or a rule")
    compare = command("compare", "say what differs between two states", _COMPARE, _COMPARE_EPILOG)
    compare.add_argument(
        "--list",
        dest="lists",
        action="append",
        type=_list,
        metavar="NAME",
        help=f"a list to compare, may be repeated (without it: {', '.join(DEFAULT_LISTS)})",
    )
    compare.add_argument(
        "--git", metavar="COMMIT", help="the old state is that of this commit; A..B: from commit A to commit B"
    )
    compare.add_argument(
        "--bought", metavar="CSV", help="hold the bill of the new state against what was bought already"
    )
    compare.add_argument(
        "--book", dest="books", action="append", metavar="BOOK", help="what it does to the price by your own books"
    )
    price = command("price", "say what it costs by your own books", _PRICE, _PRICE_EPILOG)
    price.add_argument("--book", dest="books", action="append", required=True, metavar="BOOK", help="may be repeated")
    price.add_argument(
        "--list", dest="lists", action="append", choices=_PRICE_LISTS, help="a list to print, may be repeated"
    )
    price.add_argument(
        "--factor",
        dest="factors",
        action="append",
        metavar="NAME[=UNITS]",
        help="a factor of the books, on all units or on those whose tags fit, such as GA-1*; may be repeated",
    )
    price.add_argument("--instead", metavar="OLD=NEW", help="beside it: the job with spec NEW in place of spec OLD")
    for sub in (check, takeoff, pack, price):
        sub.add_argument(
            "--on",
            metavar="DATE",
            type=_date,
            help="hold dates in the files against this one, such as 2027-06-30, or `today`; without it none",
        )
    for sub in (check, takeoff, compare, pack, price, serve):
        sub.add_argument(
            "--units",
            choices=get_args(Units),
            default="inch-pound",
            help="what the lists are in (without it: inch-pound); findings keep the words of the file",
        )
    for sub in (check, takeoff, why, compare, price):
        _output(sub)
    for sub in (check, takeoff, pack, why, compare, price):
        sub.add_argument(
            "--stdin-filename", metavar="NAME", default="standard input", help="the file name that findings give to it"
        )
    for sub in (check, takeoff, pack, serve, why, compare, price):
        _common(sub)
    return parser


def _output(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--format", choices=list(FORMATS), help="without it: by the ending of --out, else text")
    parser.add_argument(
        "--out",
        metavar="PATH",
        help="write to a file, or one file a list into a folder (one that exists, or a name that ends in /)",
    )


def _common(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--quiet", action="store_true", help="only the result itself: no sum, no hints")
    parser.add_argument("--debug", action="store_true", help="if coilwright itself fails, show where")


def _date(text: str) -> str:
    """A date as year-month-day; `today` asks the clock."""
    import datetime

    try:
        return (datetime.date.today() if text == "today" else datetime.date.fromisoformat(text)).isoformat()
    except ValueError:
        raise argparse.ArgumentTypeError(f"`{text}` is no date; write it like 2027-06-30") from None


def _port(text: str) -> int:
    """A port number."""
    if text.isascii() and text.isdecimal() and int(text) < 65536:
        return int(text)
    raise argparse.ArgumentTypeError(f"`{text}` is no port; ports are 0 to 65535")


def _list(name: str) -> str:
    """The name of a list, or an error that names the nearest one."""
    if name in LISTS:
        return name
    near = nearest(name, LISTS)
    hint = f"the nearest name is `{near}`" if near else f"there are {', '.join(LISTS)}"
    raise argparse.ArgumentTypeError(f"there is no list `{name}`; {hint}")
