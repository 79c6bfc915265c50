"""The product's settings, quick with passwords and quiet, as ten thousands of requests are meant to be refused."""

from studio.settings import *  # noqa: F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
TASKS = {"default": {"BACKEND": "django_tasks.backends.dummy.DummyBackend"}}
# Nothing is counted, so that a program's requests are read and not turned away as too many.
CACHES = {"default": {"BACKEND": "django.core.cache.backends.dummy.DummyCache"}}
LOGGING = {"version": 1, "disable_existing_loggers": True}
STORAGES = {
    **STORAGES,  # noqa: F405
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
