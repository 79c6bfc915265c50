"""The firings floor."""

from django.apps import AppConfig


class FiringsConfig(AppConfig):
    name = "firings"
    verbose_name = "firings"
