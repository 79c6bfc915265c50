"""The product's settings with the framework's own admin beside it, only to be measured against."""

from studio.settings import *  # noqa: F403
from studio.settings import INSTALLED_APPS, STORAGES

INSTALLED_APPS = [*INSTALLED_APPS, "django.contrib.admin"]
ROOT_URLCONF = "tests.bench.admin_urls"
# Nobody collects page files for a measurement.
STORAGES = {**STORAGES, "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}}
