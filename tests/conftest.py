import os
from datetime import timedelta

import pytest
from django.core.cache import cache
from hypothesis import HealthCheck, settings

from inventory import book

# nothing fails because a machine has more to do
UNTIMED = [HealthCheck.too_slow]
settings.register_profile("shop", deadline=None, derandomize="CI" in os.environ, suppress_health_check=UNTIMED)
settings.load_profile("shop")


def pytest_addoption(parser):
    parser.addoption("--histories", type=int, default=300, help="how many -m long_histories goes through")
    parser.addoption("--shard", default="1/1", help="which part of them, such as 3/16")


@pytest.fixture(autouse=True)
def any_clock(monkeypatch):
    """A test may turn the clock to any day of the book, which elsewhere would be a wrong one."""
    monkeypatch.setattr(book, "CLOCKS_DIFFER", timedelta(days=36_500))


@pytest.fixture(autouse=True)
def nothing_kept():
    """Nothing that a worker keeps outlives its test: the next one's book begins with the same numbers."""
    cache.clear()
