"""Hookups of any number of coils, written for the measurements. All sizes are in inches (NPS)."""

HEAD = """\
project "Measured: {what}"

service chilled-water
    water
    design 125 psi, 40 degF to 100 degF
    spec steel-welded

"""

#: One chilled-water coil: everything a reviewer asks for, no lengths.
TYPICAL = """\
typical {name}, drawn with airflow left to right
    coil CC-* on chilled-water
        supply low at leaving side, {coil} male thread
        return high at entering side, {coil} male thread
        headers copper
        holds 8 gal

    supply to CC-*, {line}
        from main CWS
        up 2 ft 4 in
        butterfly valve BV-*01, lug
        drain 3/4
        strainer ST-*01
        left {inches} in
        test port
    return from CC-*, {line}
        vent 1/2
        test port
        thermowell TE-*01
        balancing valve FB-*01, flanged
        control valve TCV-*01, flanged
        right 10 in
        butterfly valve BV-*02, lug
        down 6 ft
        to main CWR

"""

UNIT = "unit AH-{number} is {name}, number {number}, airflow {airflow}\n"
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
    typical = TYPICAL.format(name="coil-hookup", coil="2-1/2", line="4", inches=18)
    return HEAD.format(what=f"{count} units of one typical") + typical + "".join(units)


def distinct_coils(count: int, lineups: str = "") -> str:
    """`count` coils, no two hooked up alike, each with some lineups."""
    parts = [HEAD.format(what=f"{count} distinct coils")]
    for number in range(1, count + 1):
        coil, line = SIZES[number % len(SIZES)]
        name = f"hookup-{number}"
        parts.append(TYPICAL.format(name=name, coil=coil, line=line, inches=6 + number) + lineups)
        parts.append(UNIT.format(number=number, name=name, airflow=AIRFLOWS[0]))
    return "\n".join(parts)
