"""Numbers that know what they were, in copies and other processes too."""

import copy
import pickle

from coilwright.model.rounded import PerUnit, Rounded


def test_copies_know_what_they_were() -> None:
    number, text = Rounded(22.9206, 1), PerUnit("AHU-1: 0.5", [0.4958])
    for again in (copy.deepcopy(number), pickle.loads(pickle.dumps(number))):
        assert (again, again.exact) == (22.9, 22.9206)
    for said in (copy.deepcopy(text), pickle.loads(pickle.dumps(text))):
        assert (said, said.numbers) == ("AHU-1: 0.5", (0.4958,))
