import pytest

from tests import kill

KILLS = 20  # `python -m tests.kill 200` takes its time


@pytest.mark.kill
@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_what_was_answered_outlives_a_killed_server(tmp_path, kind):
    with kill.database(kind) as url:
        reckoned = kill.killed(KILLS, tmp_path, url)

    assert "all are in the book" in reckoned
    print(reckoned)
