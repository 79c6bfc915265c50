"""Puts the floors together when Django starts."""

from typing import Any

from django.apps import AppConfig
from django.db import DEFAULT_DB_ALIAS
from django.db.models.signals import post_migrate

from studio.wording.forms import speak_plainly

# Before any model or form is read.
speak_plainly()


class StudioConfig(AppConfig):
    name = "studio"

    def ready(self) -> None:
        """Tie the listeners to the firings, and make the roles' groups true after every migration."""
        # Models can be imported only now.
        from firings import listeners  # noqa: PLC0415
        from studio.people import services as people  # noqa: PLC0415
        from tiles.conditions import services as conditions  # noqa: PLC0415
        from tiles.loading import services as loading  # noqa: PLC0415

        # In this order: a tile taken off a foreign shelf is a condition that changed.
        listeners.firings_changed[:] = [loading.leave_foreign_shelves, conditions.refresh_firings]

        def make_groups_true(using: str, **migration: Any) -> None:
            if using == DEFAULT_DB_ALIAS:
                people.make_groups_true()

        # Ours is the last app, so all permissions are there. The only signal in use, for news of Django itself.
        post_migrate.connect(make_groups_true, sender=self, weak=False, dispatch_uid="roles")
