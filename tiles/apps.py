"""The tiles floor."""

from django.apps import AppConfig


class TilesConfig(AppConfig):
    name = "tiles"
    verbose_name = "tiles"
