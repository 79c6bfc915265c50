"""Puts the floors together when Django starts."""

from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_migrate
from django.utils.module_loading import import_string


class StudioConfig(AppConfig):
    name = "studio"

    def ready(self) -> None:
        """Make the roles' groups true after every migration, once all permissions are there."""
        post_migrate.connect(_make_groups_true, sender=self)


def _make_groups_true(**kwargs: Any) -> None:
    # By its name, as this module is read before models may be imported.
    import_string("studio.people.services.make_groups_true")()
