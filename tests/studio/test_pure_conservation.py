"""Water, salt, acid and copper through random histories without a database; `pure_history` says how."""

from time import perf_counter

import pytest

from tests.studio.pure_history import PureHistory

ENTRIES = 12  # beside the two that fill the tanks
# seeds that did not hold once, each with what was wrong
FOUND = {
    6441: "a true level moved the drying, and nine tenths taken out a month later left that difference alone",
}


def wrong_in(seed: int) -> list[str]:
    return PureHistory(seed).live(ENTRIES).apart()


def test_nothing_is_lost_in_three_hundred_histories():
    assert {seed: wrong for seed in (*range(300), *FOUND) if (wrong := wrong_in(seed))} == {}


@pytest.mark.long_histories
def test_nothing_is_lost_in_a_hundred_thousand_histories(request):
    """A shard takes every so-manieth seed, and those that fail are told with the entries that it takes."""
    shard, shards = map(int, request.config.getoption("shard").split("/"))
    seeds, began, failed = range(request.config.getoption("histories"))[shard - 1 :: shards], perf_counter(), []
    for done, seed in enumerate(seeds):
        if done % 10_000 == 0:
            print(f"{done} histories after {(perf_counter() - began) / 60:.1f} minutes", flush=True)
        if wrong := wrong_in(seed):
            failed.append(seed)
            history = PureHistory(seed).live(ENTRIES)
            print(f"seed {seed}:", *wrong, *(deed.words for deed in history.shortest()), sep="\n", flush=True)
    print(f"{len(seeds)} histories of {ENTRIES} entries in {(perf_counter() - began) / 60:.1f} minutes")

    assert not failed, f"seeds {failed}"
