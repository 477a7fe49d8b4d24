"""The shop's own settings, with quick password hashes, plain static files and a data folder that is thrown away."""

import atexit
import os
import shutil
import tempfile

FOLDER = os.path.join(tempfile.gettempdir(), "mordant-test-")
if not os.environ.get("MORDANT_DATA", "").startswith(FOLDER):  # what a test run starts shares its folder
    os.environ["MORDANT_DATA"] = tempfile.mkdtemp(prefix="mordant-test-")
    atexit.register(shutil.rmtree, os.environ["MORDANT_DATA"], ignore_errors=True)

from studio.settings import *  # noqa: E402, F403  # the data folder must be chosen before the settings are read

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}  # noqa: F405
STATIC_ROOT.mkdir(exist_ok=True)  # noqa: F405  # empty: pages are asked for here, not their letters
