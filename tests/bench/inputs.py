"""Hookups of any number of coils, written for the measurements. All sizes are in inches (NPS)."""

HEAD = """\
project "Measured: {what}"

service chilled-water
    water
    design 125 psi, 40 degF to 100 degF
    spec steel-welded

"""

#: One chilled-water coil: everything a reviewer asks for. Its lengths and places are filled in, or left out.
TYPICAL = """\
typical {name}, drawn with airflow left to right
    coil CC-* on chilled-water
        supply low at leaving side, {coil} male thread{supply}
        return high at entering side, {coil} male thread{back}
        headers copper
        holds 8 gal

    supply to CC-*, {line}
        from main CWS
        up{up}
        butterfly valve BV-*01, lug
        drain 3/4
        strainer ST-*01
        left{left}
        test port
    return from CC-*, {line}
        vent 1/2
        test port
        thermowell TE-*01
        balancing valve FB-*01, flanged
        control valve TCV-*01, flanged
        right{right}
        butterfly valve BV-*02, lug
        down{down}
        to main CWR

"""

#: How a typical is made order only.
NO_LENGTHS = dict.fromkeys(("supply", "back", "up", "left", "right", "down"), "")


def typical(name: str, coil: str, line: str, inches: int | None = None) -> str:
    """A typical; measured if it is given how long one of its moves is, else order only."""
    lengths = NO_LENGTHS
    if inches is not None:
        lengths = {
            "supply": ", at right 20 in, up 12 in, toward 4 in",
            "back": ", at right 10 in, up 60 in, toward 4 in",
            "up": " 2 ft 4 in",
            "left": f" {inches} in",
            "right": " 4 ft",
            "down": " 6 ft, field fit",
        }
    return TYPICAL.format(name=name, coil=coil, line=line, **lengths)


UNIT = "unit AH-{number} is {name}, number {number}, airflow {airflow}\n"
SETTINGS = """\
takeoff
    pipe in 21 ft lengths
    spare gaskets 5 %
    saw kerf 1/8 in

"""
AIRFLOWS = ("left to right", "right to left")
#: Coil and line sizes that are piped alike but are not the same.
SIZES = (("1-1/2", "2-1/2"), ("2", "3"), ("2-1/2", "4"), ("3", "4"), ("3", "6"))


#: Four ways of running of that coil.
LINEUPS = """\
    lineup "running"
        expect CC-* on chilled-water
    lineup "off"
        closed BV-*01, BV-*02
    lineup "supply shut"
        closed BV-*01
    lineup "return shut"
        closed BV-*02

"""


def units_of_one_typical(count: int) -> str:
    """`count` units, every other one mirrored."""
    units = (UNIT.format(number=n, name="coil-hookup", airflow=AIRFLOWS[n % 2]) for n in range(1, count + 1))
    one = typical("coil-hookup", "2-1/2", "4")
    return HEAD.format(what=f"{count} units of one typical") + one + "".join(units)


def units_of_typicals(count: int, typicals: int, *, measured: bool) -> str:
    """`count` units of some typicals in both hands; order only, or with lengths."""
    parts = [HEAD.format(what=f"{count} units of {typicals} typicals")]
    for number in range(typicals):
        parts.append(typical(f"hookup-{number}", *SIZES[number % len(SIZES)], 36 + number if measured else None))
    for number in range(1, count + 1):
        name = f"hookup-{number % typicals}"
        parts.append(UNIT.format(number=number, name=name, airflow=AIRFLOWS[number // typicals % 2]))
    return "\n".join(parts)


#: Typicals of `job_of_files` in one shared file.
_IN_ONE_FILE = 20


def job_of_files(files: int, units: int, typicals: int) -> dict[str, str]:
    """A job by file names: `files` with `units` each, which all use the shared files of `typicals`.

    Every file builds three of the typicals, in both hands.
    """
    made = {"job/shop/services.hookup": HEAD.format(what="a shop's services") + SETTINGS}
    shared = [f"typicals-{start // _IN_ONE_FILE + 1}" for start in range(0, typicals, _IN_ONE_FILE)]
    for number, file in enumerate(shared):
        names = range(number * _IN_ONE_FILE + 1, min((number + 1) * _IN_ONE_FILE, typicals) + 1)
        parts = []
        for name in names:
            coil, line = SIZES[name % len(SIZES)]
            parts.append(typical(f"hookup-{name}", coil, line, 36 + name) + LINEUPS)
        made[f"job/shop/{file}.hookup"] = 'use "services.hookup"\n\n' + "\n".join(parts)
    uses = "".join(f'use "shop/{file}.hookup"\n' for file in shared)
    for file in range(files):
        lines = []
        for unit in range(units):
            number = file * units + unit + 1
            name = f"hookup-{(3 * file + unit % 3) % typicals + 1}"
            lines.append(UNIT.format(number=number, name=name, airflow=AIRFLOWS[unit % 2]))
        made[f"job/floor-{file + 1}.hookup"] = f'project "Measured: floor {file + 1}"\n{uses}\n' + "".join(lines)
    return made


def distinct_coils(count: int, lineups: str = "", *, measured: bool = False) -> str:
    """`count` coils, each hooked up by itself, with some lineups; order only, or with lengths of which no two agree."""
    parts = [HEAD.format(what=f"{count} distinct coils")]
    for number in range(1, count + 1):
        name = f"hookup-{number}"
        parts.append(typical(name, *SIZES[number % len(SIZES)], 30 + number if measured else None) + lineups)
        parts.append(UNIT.format(number=number, name=name, airflow=AIRFLOWS[0]))
    return "\n".join(parts)
