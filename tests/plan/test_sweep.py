"""Sweeps: in order, the same on any number of workers, resumed where they stopped."""

import json
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor

import pytest

from sim.plan.compare import compare
from sim.plan.many_cases import Task, in_order, sweep
from sim.plan.odds.chance import chance
from sim.plan.odds.verdict import _known
from sim.reference.errors import SceneError

PITCHES = {"layer.pitch_mm": [3.0, 3.2, 3.4, 3.6, 3.8]}


def square(x):
    return {"x": x, "square": x * x, "third": x / 3.0}


def tasks(n):
    return [Task(f"case {k}", square, (k,)) for k in range(n)]


def test_rows_come_in_order_and_progress_counts():
    told = []
    rows = sweep(tasks(30), progress=lambda done, of, left: told.append((done, of, left)))
    assert [row["x"] for row in rows] == list(range(30))
    assert [t[:2] for t in told] == [(k, 30) for k in range(1, 31)] and told[-1][2] == 0.0


def test_one_worker_and_four_give_the_same_table_to_the_last_bit(small):
    tables = []
    for workers in (1, 4):
        with ThreadPoolExecutor(workers) as pool:
            tables.append(
                json.dumps(compare(small, PITCHES, draws=10, columns=96, executor=pool).rows)
            )
    assert tables[0] == tables[1]


def test_one_worker_and_four_give_the_same_chance_to_the_last_bit(small):
    found = []
    for workers in (1, 4):
        _known.clear()
        with ThreadPoolExecutor(workers) as pool:
            found.append(chance(small, 60, executor=pool))
    one, four = found
    assert (
        (one.minima == four.minima).all()
        and one.decided == four.decided
        and one.decided is not four.decided
        and (one.below_cut == four.below_cut).all()
    )


def test_another_process_gives_the_same_rows(small):
    with ProcessPoolExecutor(1) as pool:
        other = compare(
            small, {"layer.pitch_mm": [3.0, 3.6]}, nominal=True, columns=60, executor=pool
        )
    assert (
        other.rows == compare(small, {"layer.pitch_mm": [3.0, 3.6]}, nominal=True, columns=60).rows
    )


def test_an_interrupted_sweep_goes_on_and_gives_the_same_table(small, tmp_path):
    class Stop(Exception):
        pass

    def stop_after_two(done, of, left):
        if done == 2:
            raise Stop

    kept = tmp_path / "kept.jsonl"
    with pytest.raises(Stop):
        compare(small, PITCHES, nominal=True, columns=96, resume=kept, progress=stop_after_two)
    assert len(kept.read_text().splitlines()) == 2
    kept.write_bytes(
        kept.read_bytes() + b'{"key": "cut sho'
    )  # the power went while a line was written
    told = []
    resumed = compare(
        small,
        PITCHES,
        nominal=True,
        columns=96,
        resume=kept,
        progress=lambda done, of, left: told.append(done),
    )
    assert told == [3, 4, 5]
    fresh = compare(small, PITCHES, nominal=True, columns=96)
    assert json.dumps(resumed.rows) == json.dumps(fresh.rows)
    assert [json.loads(line)["row"] for line in kept.read_text().splitlines()] == list(fresh.rows)


def test_a_changed_job_takes_nothing_from_the_file(small, tmp_path):
    from sim.job.change import changed

    kept = tmp_path / "kept.jsonl"
    compare(small, {"layer.pitch_mm": [3.0]}, nominal=True, columns=60, resume=kept)
    other = changed(small, {"pre_bore.diameter_mm": 83.4})
    assert (
        compare(other, {"layer.pitch_mm": [3.0]}, nominal=True, columns=60, resume=kept).rows
        == compare(other, {"layer.pitch_mm": [3.0]}, nominal=True, columns=60).rows
    )


@pytest.mark.parametrize(
    "text",
    ["schema = 1\n[bore]\n", "not ours", "[1, 2]\n", '{"key": 1}\n{"key": "a", "row": {}}\n'],
)
def test_a_file_that_is_not_ours_is_refused_and_left_alone(text, tmp_path):
    kept = tmp_path / "scene.toml"
    kept.write_text(text)
    with pytest.raises(SceneError, match="not a kept case"):
        sweep(tasks(2), resume=kept)
    assert kept.read_text() == text


def test_a_place_that_cannot_be_written_is_one_sentence(tmp_path):
    with pytest.raises(SceneError, match="cannot be"):
        sweep(tasks(2), resume=tmp_path / "no" / "folder.jsonl")


def test_equal_cases_are_computed_once():
    ran = []

    def once(k):
        ran.append(k)
        return {"k": k}

    rows = sweep([Task("same", once, (1,)), Task("same", once, (1,))])
    assert rows == [{"k": 1}, {"k": 1}] and ran == [1]


def test_stopping_early_asks_for_no_more():
    started = []
    with ThreadPoolExecutor(1) as pool:
        for answer in in_order(started.append, ((k,) for k in range(10_000)), pool):
            if len(started) > 5:
                assert answer is None
                break
    assert len(started) < 200
