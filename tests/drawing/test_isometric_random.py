"""Isometrics of random routes: nothing overlaps, nothing crashes, numbers and lengths stay those of the lists."""

from coilwright import compile_text
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st
from iso_checks import check_isometrics

HEAD = """\
service w
    water
    design 125 psi, 42 degF to 90 degF
    spec {spec}
typical t, drawn with airflow left to right
    coil C on w
        supply low, 3 flanged, at right 20 in, up 12 in, toward 4 in
        return high, 3 flanged
    supply to C, 3
        from main S, at right 62 in, down 24 in
{supply}
    return from C, 3
{back}
        to main R
{more}unit U-1 is t, number 1, airflow left to right
unit U-2 is t, number 2, airflow right to left
"""
WAYS = ("up", "down", "left", "right", "toward", "away")
LENGTHS = (
    "",
    " 1/64 in",
    " 4 in",
    " 9-1/2 in",
    " 18 in",
    " 3 ft",
    " 11 ft 7/8 in",
    " 137 ft",
    " 950 mm",
    " about 4 ft",
)
ASIDE = (
    "up 1 ft, toward 8 in, at 45",
    "left 6 in, at 45",
    "up 14 in, at 45",
    "away 1 ft, down 1 ft, at 45",
    "right, at 45",
)
ITEMS = (
    "butterfly valve {tag}, lug", "gate valve {tag}, normally closed", "check valve", "strainer {tag}", "drain 3/4",
    "balancing valve {tag}, 2", "control valve {tag}, 2, fails closed", "vent 1/2", "test port", "thermowell {tag}",
    "relief valve {tag}, 3/4", "flexible connector", "tee {tag}, 2", "pump {tag}, 2", "through floor", "hanger",
    "union", "reducer 2", "about 5 ft", "strainer\n            strainer blowdown",
    "vent 1/2\n            vacuum breaker",
    'ball valve {tag}-LONGER-THAN-ANY-TAG-HAS-TO-BE-1234567890, "a note & <b>"',
)  # fmt: skip
PITCH = ("", "", "", ", pitch 1/8 in per ft", ", pitch up 1/4 in per ft", ", field fit")


@st.composite
def texts(draw):
    tees: list[str] = []
    count = 0

    def steps(most: int) -> list[str]:
        nonlocal count
        made = []
        for _ in range(draw(st.integers(0, most))):
            what = draw(st.integers(0, 9))
            if what < 5:
                pitch = draw(st.sampled_from(PITCH))
                made.append(draw(st.sampled_from(WAYS)) + draw(st.sampled_from(LENGTHS)) + pitch)
            elif what == 5:
                made.append(draw(st.sampled_from(ASIDE)))
            else:
                count += 1
                item = draw(st.sampled_from(ITEMS))
                made.append(item.format(tag=f"X-{count}"))
                if item.startswith("tee"):
                    tees.append(f"X-{count}")
        return [f"        {step}" for step in made]

    supply, back = steps(14), steps(10)
    more = []
    while len(tees) > 1 and draw(st.booleans()):
        a, b = tees.pop(0), tees.pop(draw(st.integers(0, len(tees) - 1)))
        more += [f"    crossover from {a} to {b}, 2", *steps(6)]
    spec = draw(st.sampled_from(["steel-welded", "steel-grooved", "copper-soldered", "steel-threaded"]))
    return HEAD.format(
        spec=spec, supply="\n".join(supply), back="\n".join(back), more="".join(f"{line}\n" for line in more)
    )


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(texts())
def test_random_routes(text: str) -> None:
    compilation = compile_text(text)
    for hookup in compilation.hookups:
        event(f"measured: {hookup.measured is not None}")
        drawings = check_isometrics(compilation, hookup)
        event(f"drawings: {min(len(drawings), 6)}")
