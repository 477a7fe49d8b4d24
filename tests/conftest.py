import os

from hypothesis import settings

settings.register_profile("shop", deadline=None, derandomize="CI" in os.environ)
settings.load_profile("shop")
