"""Long work beside the page is done once, and left or taken up again without harm."""

import threading

import pytest

from sim.screens.job.checking import begun, forgotten, found, waited


def test_work_of_one_name_is_done_once():
    done = []
    for _ in range(3):
        assert waited("once", lambda: done.append(1) or 7, lambda: None) == 7
    assert done == [1] and found("once") == 7
    forgotten("once")
    assert found("once") is None


def test_what_the_work_raises_is_raised_where_it_is_waited_for():
    def fails():
        raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        waited("fails", fails, lambda: None)
    assert found("fails") is None


def test_one_visit_leaving_does_not_end_the_work_of_another():
    gate = threading.Event()
    blocks = [begun(("block", k), gate.wait) for k in range(2)]  # both threads are at work

    def leave():
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        waited("left", lambda: 3, leave)
    ticks = []

    def tick():
        ticks.append(1)
        if len(ticks) == 1:
            begun("left", lambda: 3).cancel()  # as another visit would
        gate.set()

    assert waited("left", lambda: 3, tick) == 3
    assert all(one.result() for one in blocks)
