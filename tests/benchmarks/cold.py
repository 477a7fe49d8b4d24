"""The book's own settings with nothing kept: every page is made as for whoever asks first."""

from studio.settings import *  # noqa: F403  # every setting, as it is served
from studio.settings import CACHES

CACHES = {**CACHES, "default": {"BACKEND": "django.core.cache.backends.dummy.DummyCache"}}
