"""The shop's own settings, unchanged, with the floor beside its pages; MORDANT_DATA says where the book is."""

from studio.settings import *  # noqa: F403  # every setting, as it is served

ROOT_URLCONF = "tests.benchmarks.urls"
