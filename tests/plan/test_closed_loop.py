"""Twenty fixed small jobs of the closed loop: planned from readings and a measured bead, welded in a
process that is hidden. Every other one came out bright, of the others the pre-bored wall was read.

Two hundred of any size, with the reliability table, run by `python -m tests.speed.closed_loop`.
"""

import numpy as np

from tests.speed.closed_loop import BRIGHT, READ, SMALL, counted, job, welded_with_readings

JOBS = 20
WIRE = 8  # of the twenty, for which the least wire is looked for as well


def test_twenty_first_plans():
    counts = [
        counted(job(number, (BRIGHT, READ)[number % 2], **SMALL), search=number < WIRE)
        for number in range(JOBS)
    ]
    assert (
        sum(c.cleans for c in counts) >= 18
    )  # asked: 95 in 100; fewer than 18 of 20 would be luck of 1 in 13 at that
    assert all(c.promised >= 0.95 for c in counts)
    ratio = np.array([c.wire / c.least for c in counts[:WIRE]])
    # 1.130 and 1.299 of these eight: thin jobs, where being sure costs most, and draws that stray
    # wider than this process does (see `tests.speed.calibration`)
    assert np.median(ratio) <= 1.15 and ratio.max() <= 1.32
    # The rules of thumb beside it: two thirds of the width falls short far too often, half the
    # width wastes wire.
    thirds, half = (np.array([c.rules[k] for c in counts]) for k in range(2))
    assert (thirds[:, 0] >= 0.25).mean() <= 0.7
    assert (half[:, 0] >= 0.25).mean() >= 0.85 and np.median(
        half[:, 1] / [c.wire for c in counts]
    ) >= 1.1


LAYERS_READ = (2, 1)  # jobs of two and three layers, read after each


def test_two_jobs_with_readings_after_each_layer():
    for number in LAYERS_READ:
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
