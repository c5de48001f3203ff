"""Twenty fixed jobs of the closed loop, every tenth: planned from readings and a measured bead,
welded in a process that is hidden.

All two hundred, with the reliability table, run by `python -m tests.speed.closed_loop`.
"""

import numpy as np

from tests.speed.closed_loop import counted, welded_with_readings

JOBS = range(0, 200, 10)
WIRE = 3  # of the twenty, for which the least wire is looked for as well: that takes longest


def test_twenty_first_plans():
    counts = [counted(number, search=k < WIRE) for k, number in enumerate(JOBS)]
    assert (
        sum(c.cleans for c in counts) >= 18
    )  # asked: 95 in 100; fewer than 18 of 20 would be luck of 1 in 13 at that
    assert all(c.promised >= 0.95 for c in counts)
    ratio = np.array([c.wire / c.least for c in counts[:WIRE]])
    # with no pitch under half a width and one standard error more than asked: 1.26, 1.11 and 1.39
    assert np.median(ratio) <= 1.30 and ratio.max() <= 1.45
    # The rules of thumb beside it: two thirds of the width falls short far too often, half the
    # width wastes wire.
    thirds, half = (np.array([c.rules[k] for c in counts]) for k in range(2))
    assert (thirds[:, 0] >= 0.25).mean() <= 0.7
    assert (half[:, 0] >= 0.25).mean() >= 0.85 and np.median(
        half[:, 1] / [c.wire for c in counts]
    ) >= 1.1


READ = (2, 1)  # jobs of two and three layers, read after each


def test_two_jobs_with_readings_after_each_layer():
    for number in READ:
        one = welded_with_readings(number, search=False)
        assert one.cleans and len(one.told) == one.layers
        assert (
            one.told[-1].as_is.clean_up_of_100.value >= 85
        )  # and the last plan promised what is asked
        assert one.told[-1].enough or one.told[-2].plan.winner.probability >= 0.95
        assert one.wire <= 1.02 * one.first  # and not by laying more than was planned at first
        last = one.told[-1].laid
        assert (
            abs(one.volume - last.value) < 3.0 * last.spread
        )  # the metal the hidden process laid, by its own count
