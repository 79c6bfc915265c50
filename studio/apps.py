"""Puts the floors together when Django starts."""

from django.apps import AppConfig


class StudioConfig(AppConfig):
    name = "studio"

    def ready(self) -> None:
        # Models can be imported only now.
        from firings import listeners  # noqa: PLC0415
        from tiles.conditions import services as conditions  # noqa: PLC0415

        if conditions.refresh_firings not in listeners.firings_changed:
            listeners.firings_changed.append(conditions.refresh_firings)
