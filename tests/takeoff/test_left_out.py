"""What a sum leaves out, in words."""

from coilwright.takeoff.left_out import in_few_words


def test_a_name_of_several_parts_has_its_plural_in_front() -> None:
    assert in_few_words({"nipple, one end threaded 2 (not measured)": 4}) == "4 nipples not measured"
    assert in_few_words({"test port, brass 1/4 (not measured)": 2}) == "2 test ports, brass not measured"
    both = {"nipple, one end threaded 2 (not measured)": 1, "nipple 3/4 (not measured)": 2}
    assert in_few_words(both) == "3 nipples not measured"
