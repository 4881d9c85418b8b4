"""How fast and how large, as ratios taken in one run on one machine: `python tests/bench/run.py [--runs N]`.

Each line says what is measured, the target and what is reached. Exit code 0 if every target is met, 1 if not, 2 if the
compiler could not compile what it is measured with. Needs a POSIX system (it asks the kernel for each child's memory).
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from coilwright.takeoff import LISTS
from inputs import LINEUPS, distinct_coils, job_of_files, units_of_one_typical, units_of_typicals

#: Prints the seconds that all rules take for the hookups of a file, without reading and compiling it.
RULES = """\
import sys, time
from coilwright.pipeline import run_passes
from coilwright.rules.registry import all_rules, check_hookup
from coilwright.source.reader import DiskReader
from coilwright.source.uses import load_trees
hookups = run_passes(load_trees(sys.argv[1], DiskReader())[0]).hookups
all_rules()
start = time.perf_counter()
for hookup in hookups:
    check_hookup(hookup)
print(time.perf_counter() - start)
"""

#: Prints the seconds that it takes to nest 2,000 pieces (5 ft to 10 ft 10 in, of so many lengths) into 21 ft lengths.
NESTING = """\
import random, sys, time
from fractions import Fraction
from coilwright.takeoff.nesting import Piece, Stock, nest
lengths, drawn = int(sys.argv[1]), random.Random(4)
pieces = [Piece(str(n), Fraction(drawn.randint(960, 2080), 16), 2000 // lengths) for n in range(lengths)]
start = time.perf_counter()
nest(pieces, [Stock(Fraction(252)), Stock(Fraction(86), 3)], Fraction(1, 8))
print(time.perf_counter() - start)
"""

COMMAND = Path(sys.executable).parent / "coilwright"
#: ru_maxrss is in bytes on macOS, in kilobytes elsewhere.
_RSS_UNIT = 1 if sys.platform == "darwin" else 1024
Sample = tuple[float, int]


class Measure:
    """Runs commands as a user would: compiled modules kept, output buffered and thrown away."""

    def __init__(self, runs: int) -> None:
        self.runs = runs
        self.environ = {
            key: value
            for key, value in os.environ.items()
            if key not in ("PYTHONDONTWRITEBYTECODE", "PYTHONUNBUFFERED")
        }

    def once(self, *words: str | Path) -> Sample:
        """Seconds of wall time and the most memory in bytes."""
        start = time.perf_counter()
        process = subprocess.Popen(list(map(str, words)), stdout=subprocess.DEVNULL, env=self.environ)
        _, status, usage = os.wait4(process.pid, 0)
        seconds = time.perf_counter() - start
        process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode not in (0, 1):
            print(f"cannot measure: {' '.join(map(str, words))} ended with {process.returncode}", file=sys.stderr)
            sys.exit(2)
        return seconds, usage.ru_maxrss * _RSS_UNIT

    def medians(self, *commands: tuple[str | Path, ...]) -> list[float]:
        """The median seconds of each command, taken in turn so that a busy moment hits all of them."""
        for command in commands:
            self.once(*command)
        rounds = [[self.once(*command)[0] for command in commands] for _ in range(self.runs)]
        return [statistics.median(column) for column in zip(*rounds, strict=True)]

    def seconds(self, script: str, *arguments: str | Path) -> list[float]:
        """The median seconds that a script prints for each of some arguments, taken in turn."""

        def once(argument: str | Path) -> float:
            words = [sys.executable, "-c", script, argument]
            done = subprocess.run(words, capture_output=True, text=True, env=self.environ)
            if done.returncode:
                print(f"cannot measure: {done.stderr}", file=sys.stderr)
                sys.exit(2)
            return float(done.stdout)

        rounds = [[once(argument) for argument in arguments] for _ in range(self.runs)]
        return [statistics.median(column) for column in zip(*rounds, strict=True)]


def main() -> int:
    """Measure everything; see the module."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--runs", type=int, default=5, help="how often each pair is run; the median counts")
    measure = Measure(parser.parse_args().runs)
    met = []

    def tell(what: str, reached: float, target: float, unit: str, more: str = "") -> None:
        met.append(reached <= target)
        mark = "met   " if met[-1] else "MISSED"
        print(f"{mark}  {what}: reached {reached:.2f} {unit}, target {target:.2f} {unit}{more}", flush=True)

    with tempfile.TemporaryDirectory() as folder:

        def file(name: str, text: str) -> Path:
            path = Path(folder, f"{name}.hookup")
            path.write_text(text)
            return path

        def job(name: str, files: int) -> Path:
            for path, text in job_of_files(files, units=10, typicals=60).items():
                place = Path(folder, name, path)
                place.parent.mkdir(parents=True, exist_ok=True)
                place.write_text(text)
            return Path(folder, name, "job")

        bare, version = measure.medians((sys.executable, "-c", "pass"), (COMMAND, "--version"))
        tell("coilwright --version against python -c pass", version / bare, 1.5, "x", f" ({1000 * version:.0f} ms)")

        one = file("one", units_of_one_typical(1))
        imports = (sys.executable, "-c", "import lark, networkx, pint")
        libraries, check = measure.medians(imports, (COMMAND, "check", one))
        said = f" ({1000 * check:.0f} ms)"
        tell("check of one coil against importing lark, networkx, pint", check / libraries, 1.5, "x", said)

        ten, thousand = file("ten", units_of_one_typical(10)), file("thousand", units_of_one_typical(1000))
        for command in ("check", "takeoff"):
            few, many = measure.medians((COMMAND, command, "--quiet", ten), (COMMAND, command, "--quiet", thousand))
            tell(f"{command} of 1,000 units against 10", many, 1.5 * few + 1, "s", f" = 1.5 x {few:.2f} s + 1 s")

        many_units = file("many", units_of_one_typical(10_000))
        for command in ("check", "takeoff"):
            seconds, size = measure.once(COMMAND, command, "--quiet", many_units)
            tell(f"{command} of 10,000 units, memory", size / 1e9, 1, "GB", f" ({seconds:.1f} s)")

        small, large = file("small", distinct_coils(300)), file("large", distinct_coils(3000))
        (few,) = measure.medians((COMMAND, "check", "--quiet", small))
        tell("check of 300 distinct coils", few, 4, "s")
        many, size = measure.once(COMMAND, "check", "--quiet", large)
        tell("check of 3,000 distinct coils against 300", many / few, 11, "x", f" ({many:.1f} s, {size / 1e9:.2f} GB)")

        (placed,) = measure.medians((COMMAND, "check", "--quiet", file("placed", distinct_coils(300, measured=True))))
        tell("check of 300 distinct measured coils", placed, 8, "s")
        many, _ = measure.once(COMMAND, "check", "--quiet", file("placed-3000", distinct_coils(3000, measured=True)))
        tell("check of 3,000 distinct measured coils against 300", many / placed, 11, "x", f" ({many:.1f} s)")

        all_lists = [word for name in LISTS for word in ("--list", name)]
        texts = (units_of_typicals(1000, 10, measured=measured) for measured in (False, True))
        asked = [(COMMAND, "takeoff", "--quiet", *all_lists, file(f"ten-{n}", text)) for n, text in enumerate(texts)]
        order, cut = measure.medians(*asked)
        tell(
            "every list of 1,000 measured units of ten typicals, beyond order only",
            cut - order,
            5,
            "s",
            f" ({cut:.1f} s)",
        )

        hundred = file("lineups-100", distinct_coils(100, LINEUPS))
        few, many = measure.seconds(RULES, hundred, file("lineups-1000", distinct_coils(1000, LINEUPS)))
        tell("all rules and four lineups on 1,000 distinct coils", many, 6, "s")
        tell("all rules and four lineups on 1,000 distinct coils against 100", many / few, 11, "x", f" ({few:.2f} s)")

        book = ("--quiet", *all_lists, "--out", Path(folder, "job.xlsx"))
        few, size = measure.once(COMMAND, "takeoff", job("floors-100", 100), *book)
        many, size = measure.once(COMMAND, "takeoff", job("floors-200", 200), *book)
        tell("every list and a workbook of 200 files, 2,000 units, 60 typicals", many, 20, "s")
        tell("the same, memory", size / 1e9, 1, "GB")
        tell("the same against 100 files, 1,000 units", many / few, 2.2, "x", f" ({few:.1f} s)")

        alike, apart = measure.seconds(NESTING, "100", "1000")
        tell("nesting 2,000 pieces of 100 lengths", alike, 5, "s")
        tell("nesting 2,000 pieces of 1,000 lengths", apart, 20, "s")
    return 0 if all(met) else 1


if __name__ == "__main__":
    sys.exit(main())
