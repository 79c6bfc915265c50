"""The studio's own figures, asked when they are read: nothing is counted twice, nothing is kept."""

import shutil
from collections.abc import Iterator

from django.conf import settings
from django.utils import timezone
from prometheus_client.core import GaugeMetricFamily
from prometheus_client.registry import Collector

from studio.backup.queries import last_proven
from studio.work.queries import work_state
from tiles.models import Outcome, Photo, Tile

FIGURES = {
    "tilewright_tiles": ("Tiles in the log.", lambda: Tile.objects.count()),
    "tilewright_outcomes_fired": (
        "Results that came out of a kiln.",
        lambda: Outcome.objects.fired().count(),
    ),
    "tilewright_outcomes_to_judge": (
        "Results nobody has judged yet.",
        lambda: Outcome.objects.fired().unjudged().count(),
    ),
    "tilewright_photos": ("Photographs.", lambda: Photo.objects.count()),
    "tilewright_photos_in_tray": (
        "Photographs that wait in the sorting tray.",
        lambda: Photo.objects.unfiled().count(),
    ),
    "tilewright_disk_free_bytes": (
        "Room left where the data folder lies.",
        lambda: shutil.disk_usage(settings.DATA_DIR).free,
    ),
}


class StudioFigures(Collector):
    """Each figure with its words. The age of the last proven backup is left out while there is none."""

    def collect(self) -> Iterator[GaugeMetricFamily]:
        """Ask for all of them."""
        for name, (words, ask) in FIGURES.items():
            yield GaugeMetricFamily(name, words, value=ask())
        work = work_state()
        yield GaugeMetricFamily("tilewright_workers", "Workers that live.", value=work.workers)
        yield GaugeMetricFamily(
            "tilewright_work_waiting", "Tasks that wait for a worker.", value=work.waiting
        )
        yield GaugeMetricFamily("tilewright_work_failed", "Tasks that failed for good.", value=work.failed)
        last = last_proven()
        if last is not None:
            age = (timezone.now() - last.made_at).total_seconds()
            yield GaugeMetricFamily(
                "tilewright_backup_age_seconds", "Since the last backup that was proven.", value=age
            )
