"""The product's settings, kept away from any studio's data: every test run has a folder of its own."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

FOLDER = Path(tempfile.mkdtemp(prefix="tilewright-tests-"))
atexit.register(shutil.rmtree, FOLDER, ignore_errors=True)

# What a developer's shell says about their studio is no business of the tests; the database to test on is.
for name in [*os.environ]:
    if name.startswith("TILEWRIGHT_") or name in ("PORT", "TZ"):
        del os.environ[name]
os.environ["TILEWRIGHT_DATA"] = str(FOLDER)
# The browser's driver runs an event loop in the very thread that also asks the database.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

from studio.settings import *  # noqa: E402, F403
from studio.settings import DATABASES, ON_SQLITE, STORAGES  # noqa: E402

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
# Work is done at once; the tests of the worker ask for the real list of work.
TASKS = {"default": {"BACKEND": "django_tasks.backends.immediate.ImmediateBackend"}}

STATIC_ROOT = FOLDER / "static"
STORAGES = {**STORAGES, "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}}
WHITENOISE_AUTOREFRESH = True

# A file, as in a studio: a database in memory, shared by threads, locks whole tables.
if ON_SQLITE:
    DATABASES["default"]["TEST"] = {"NAME": str(FOLDER / "test.sqlite3")}
