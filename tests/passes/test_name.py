"""name: what has no tag is called by the tagged thing upstream of it."""

from coilwright import compile_text

HOOKUP = """
service chilled-water
    water
    design 125 psi, 42 degF to 90 degF
    spec steel-welded
typical one, drawn with airflow left to right
    coil CC on chilled-water
        supply low at leaving side, 3 male thread
        return high at entering side, 3 male thread
    supply to CC, 3
        from main CHS
        ball valve BV-*01
        drain 3/4
        drain 1
        strainer ST-*01
            strainer blowdown
        tee T-*01
        test port
    return from CC, 3
        vent 1/2
        tee T-*02
        ball valve BV-*02
        to main CHR
    crossover from T-*01 to T-*02, 2
        drain 3/4
        ball valve XV-*01, normally closed
unit AH-1 is one, airflow {hand}
"""


def names(hand: str = "left to right") -> dict[str, set[str]]:
    """What everything is called, by the line of the file that it comes from first."""
    text = HOOKUP.format(hand=hand)
    [hookup] = compile_text(text).hookups
    lines = text.splitlines()
    found: dict[str, set[str]] = {}
    for component in hookup.components():
        assert component.called
        found.setdefault(lines[component.origin[0].line - 1].strip(), set()).add(component.called)
    return found


def test_a_thing_with_a_tag_is_called_by_it() -> None:
    assert "BV-*01" in names()["ball valve BV-*01"]


def test_a_drain_is_called_by_what_is_upstream_and_numbered_only_where_there_are_two() -> None:
    found = names()
    assert "1st drain behind BV-*01" in found["drain 3/4"]
    assert "2nd drain behind BV-*01" in found["drain 1"]
    assert "vent behind CC" in found["vent 1/2"]


def test_what_hangs_on_a_tagged_thing_itself_is_of_it() -> None:
    assert "drain of ST-*01" in names()["strainer blowdown"]


def test_what_stands_on_another_line_than_the_tag_says_so() -> None:
    assert "drain behind T-*01 on the crossover" in names()["drain 3/4"]


def test_all_parts_of_an_assembly_share_its_name() -> None:
    [hookup] = compile_text(HOOKUP.format(hand="left to right")).hookups
    called = {c.called for c in hookup.components() if c.role == "vent"}
    assert called == {"vent behind CC"}


def test_the_other_hand_has_the_same_names() -> None:
    assert names("right to left") == names()


def test_what_serves_a_tagged_gauge_is_of_it() -> None:
    text = HOOKUP.replace("        test port", "        gauge PI-*01\n        test port").format(hand="left to right")
    called = {c.called: c.kind.name for h in compile_text(text).hookups for c in h.components()}
    assert called["gauge cock of PI-*01"] == "gauge cock"
    assert not any(name.startswith("gauge behind") for name in called)


def test_what_stands_behind_another_tag_of_the_branch_is_behind_that() -> None:
    branch = (
        "        tee, 3/4\n            gate valve GV-*01\n            ball valve\n            relief valve RV-*01\n"
    )
    text = HOOKUP.replace("        test port\n", branch).format(hand="left to right")
    called = {c.called for h in compile_text(text).hookups for c in h.components() if c.kind.name == "ball valve"}
    assert "ball valve behind GV-*01" in called
