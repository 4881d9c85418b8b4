"""Work done aside gives what it gives here, and leaves no process behind."""

import os
import threading

import pytest
from coilwright.pack.aside import Aside


def no_children() -> bool:
    try:
        os.waitpid(-1, os.WNOHANG)
    except ChildProcessError:
        return True
    return False


def test_its_result_comes_back():
    assert Aside(lambda: {"a": [1, "b" * 300_000]}).result() == {"a": [1, "b" * 300_000]}
    assert no_children()


def test_a_copy_that_comes_to_grief_is_made_up_for():
    here = os.getpid()
    assert Aside(lambda: "here" if os.getpid() == here else os._exit(3)).result() == "here"
    assert no_children()


def test_an_error_is_raised_where_the_result_is_asked_for(capfd):
    with pytest.raises(ZeroDivisionError):
        Aside(lambda: 1 // 0).result()
    assert no_children()
    assert capfd.readouterr() == ("", "")


def test_it_is_not_doubled_beside_other_threads():
    stop = threading.Event()
    other = threading.Thread(target=stop.wait)
    other.start()
    try:
        assert Aside(os.getpid).result() == os.getpid()
    finally:
        stop.set()
        other.join()


def test_work_that_nobody_asks_for_is_ended():
    stop = threading.Event()
    aside = Aside(stop.wait)  # for ever
    aside.drop()
    assert no_children()
