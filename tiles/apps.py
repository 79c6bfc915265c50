"""The tiles floor."""

from typing import Any

from django.apps import AppConfig
from django.db import DEFAULT_DB_ALIAS
from django.db.models.signals import post_migrate, pre_migrate


class TilesConfig(AppConfig):
    name = "tiles"
    verbose_name = "tiles"

    def ready(self) -> None:
        """Fill the table of what can be printed, and let the database note writes about results, but not while its
        tables are being rebuilt.
        """
        # Models can be imported only now.
        from tiles.columns import services as columns  # noqa: PLC0415
        from tiles.prints import listeners as prints  # noqa: PLC0415

        prints.fill_the_table()

        # Nobody follows the writes of another database that is being made ready, as for a move.
        def stop_watching(using: str, **migration: Any) -> None:
            if using == DEFAULT_DB_ALIAS:
                columns.stop_watching()

        def watch_writes(using: str, **migration: Any) -> None:
            if using == DEFAULT_DB_ALIAS:
                columns.watch_writes()

        pre_migrate.connect(stop_watching, sender=self, weak=False, dispatch_uid="columns off")
        post_migrate.connect(watch_writes, sender=self, weak=False, dispatch_uid="columns on")
