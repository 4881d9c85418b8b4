"""A line from coil to coil is drawn from port to port."""

from coilwright import compile_text
from coilwright.drawing.cells import Pipe
from coilwright.drawing.diagram import line_diagram
from coilwright.drawing.layout import lay_out
from sheet_checks import check_hookup

TEXT = """\
project "Saltmarsh Aquarium: heat recovery"
service recovery-glycol
    propylene glycol, 30 % by volume
    spec steel-threaded
    closed loop
unit HR-1, airflow {air}
    coil EXH on recovery-glycol
        supply low at leaving side, 2 female thread
        return high at entering side, 2 female thread
    coil OA on recovery-glycol
        supply low at leaving side, 2 female thread
        return high at entering side, 2 female thread
    warm from EXH return to OA supply, 2
        right 1 ft
        ball valve BV-1
{many}        right 2 ft
    cold from OA return to EXH supply, 2
        left 1 ft
        ball valve BV-2
        pump P-1
        left 1 ft
"""


def drawn(air="left to right", many=""):
    made = compile_text(TEXT.format(air=air, many=many))
    assert not made.broken, made.findings
    return made, made.hookups[0]


def check_ports(hookup):
    """A pipe ends at each of the four ports, and nothing is said in words instead."""
    layout = lay_out(hookup)
    ends = {(p.x1, p.y1) for p in layout.parts if isinstance(p, Pipe)}
    ends |= {(p.x2, p.y2) for p in layout.parts if isinstance(p, Pipe)}
    ports = [port for box in layout.coils for port in box.ports]
    assert len(ports) == 4 and set(ports) <= ends
    assert "to OA supply" not in line_diagram(hookup).svg() and "to EXH supply" not in line_diagram(hookup).svg()
    assert layout.crossings <= 4


def test_both_lines_lead_to_the_ports_of_the_other_coil():
    for air in ("left to right", "right to left"):
        made, hookup = drawn(air)
        check_hookup(hookup, made.found)
        check_ports(hookup)


def test_a_long_one_is_folded_and_still_gets_there():
    made, hookup = drawn(many="".join(f"        ball valve BV-1{n}\n" for n in range(40)))
    check_hookup(hookup, made.found)
    check_ports(hookup)
    assert line_diagram(hookup).width < 1320
