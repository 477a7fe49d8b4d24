"""Events a second of the bath's replay against a general-purpose Kalman library's on the same events, in one run."""

from time import perf_counter

import pytest

from chemistry.bath import replay
from tests.chemistry.bath.matrix_bath import MatrixBath, a_year_of_events, a_year_with_acid

FLOOR = 10
LOGS = {"without acid": a_year_of_events(2000), "with acid": a_year_with_acid(2000)}


def best_of(times, run):
    """The least disturbed of some runs. [s]"""
    return min(_timed(run) for _ in range(times))


def _timed(run):
    started = perf_counter()
    run()
    return perf_counter() - started


@pytest.mark.benchmark_ratio
@pytest.mark.parametrize("bath", LOGS)
def test_a_replay_is_many_times_faster_than_with_matrices(bath, table):
    events = LOGS[bath]
    ours_s = best_of(9, lambda: replay(events))
    theirs_s = best_of(3, lambda: MatrixBath().replay(events))

    table.least(f"replay of a bath {bath}, events a second", len(events) / ours_s)
    table.least(f"replay of a bath {bath}, times as fast as with matrices", theirs_s / ours_s, FLOOR)
