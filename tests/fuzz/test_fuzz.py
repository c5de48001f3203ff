"""500 mutated jobs; ten thousand run in the bench (`python -m tests.speed fuzz`)."""

from tests.fuzz.fuzz import many


def test_mutated_jobs_end_in_figures_or_a_sentence():
    told = many(0, 500)
    assert (
        told["refused"] > 20
        and told["less than the cut as planned"] > 20
        and told["the cut as planned"] > 20
    )
