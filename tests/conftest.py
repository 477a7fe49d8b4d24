import os

from hypothesis import settings

settings.register_profile("shop", deadline=None, derandomize="CI" in os.environ)
settings.load_profile("shop")


def pytest_addoption(parser):
    parser.addoption("--histories", type=int, default=300, help="how many -m long_histories goes through")
    parser.addoption("--shard", default="1/1", help="which part of them, such as 3/16")
