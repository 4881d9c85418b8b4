"""Nothing overlaps on the sheets of random hookups: several coils, lines between any two tees, branches on branches."""

from coilwright.api import compile_text
from coilwright.drawing.diagram import line_diagram
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sheet_checks import all_drawings, check_hookup

ITEMS = (
    "butterfly valve {tag}, lug", "gate valve {tag}, normally closed", "check valve", "strainer {tag}",
    "balancing valve {tag}, 1-1/2", "control valve {tag}, 1-1/4, fails closed", "drain 3/4", "vent 1/2", "test port",
    "thermowell {tag}", "gauge {tag}", "relief valve {tag}, 3/4", "flexible connector", "tee {tag}, 1", "tee", "union",
    "pump {tag}, 1-1/2", 'ball valve {tag}-LONGER-THAN-ANY-TAG-HAS-TO-BE-1234567890, "with a note of many words to it"',
    "strainer\n            strainer blowdown", "vent 1/2\n            vacuum breaker", "removable spool",
    "tee 3/4\n            tee 1/2\n                tee 1/2\n                    gauge\n"
    "                plug\n            hose end",
)  # fmt: skip
ACROSS = ("ball valve {tag}, normally closed", "drain 3/4", "check valve", "tee {tag}, 1", "vent 1/2")
some = st.lists(st.sampled_from((*ITEMS, *["tee {tag}, 1"] * 12)), min_size=1, max_size=9)


@st.composite
def texts(draw):
    """The text of a hookup. Tees with a tag that no other line has taken yet are joined at random."""
    count = draw(st.integers(1, 3))
    tags: list[str] = []
    tees: list[str] = []

    def steps(items):
        lines = []
        for item in items:
            tags.append(f"X-{len(tags)}")
            lines.append("        " + item.format(tag=tags[-1]))
            if item == "tee {tag}, 1":
                tees.append(tags[-1])
        return lines

    lines = ["service a", "    water", "    spec steel-threaded", "service b", "    water", "    spec steel-threaded"]
    airs = [f"airflow {one} to {other}" for one, other in (("left", "right"), ("right", "left"))]
    lines += [f"typical t, drawn with {draw(st.sampled_from(airs))}"]
    for n in range(count):
        sides = draw(st.sampled_from([("low", "high"), ("high", "low"), ("", "")]))
        lines += [f"    coil C{n} on {draw(st.sampled_from('ab'))}"]
        lines += [
            f"        {port} {side}, 2 female thread" for port, side in zip(("supply", "return"), sides, strict=True)
        ]
    for n in range(count):
        way = draw(st.sampled_from(["left", "right"]))
        start = [tees.pop(0)] if n and tees and draw(st.booleans()) else []
        lines += [f"    supply to C{n}, 2", f"        from {start[0] if start else f'main S{n}'}"]
        lines += [f"        {draw(st.sampled_from(['up', 'down']))}"] if start else [f"        {way}"]
        lines += steps(draw(some))
        lines += [f"    return from C{n}, 2", *steps(draw(some)), f"        to main R{n}"]
    for _ in range(draw(st.integers(1, 6))):
        if len(tees) < 2:
            break
        a = tees.pop(draw(st.integers(0, len(tees) - 1)))
        b = tees.pop(draw(st.integers(0, len(tees) - 1)))
        lines += [f"    crossover from {a} to {b}, 1", *steps(draw(st.lists(st.sampled_from(ACROSS), max_size=4)))]
    lines += [f"unit U-1 is t, number 1, {draw(st.sampled_from(airs))}"]
    return "\n".join(lines) + "\n"


@given(texts())
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
def test_nothing_overlaps(text):
    done = compile_text(text, name="random.hookup")
    errors = [finding.message for finding in done.found if finding.severity == "error"]
    assert not errors, errors
    for hookup in done.hookups:
        check_hookup(hookup, done.found)
        shown = {box.of for box in line_diagram(hookup).boxes if box.kind == "symbol"}
        assert {c.id for c in hookup.components() if c.tag} <= shown
        assert [d.svg() for d in all_drawings(hookup)] == [d.svg() for d in all_drawings(hookup)]
