"""The site map: one include per subject."""

from django.urls import include, path

from tiles.recording import urls as recording

urlpatterns = [
    path("", include("studio.health.urls")),
    path("", include("studio.metrics.urls")),
    path("", include("studio.people.urls")),
    path("", include("studio.preferences.urls")),
    path("", include("studio.offline.urls")),
    path("", include("studio.api.urls")),
    path("history/", include("studio.history.urls")),
    path("work/", include("studio.work.urls")),
    path("backups/", include("studio.backup.urls")),
    path("import/", include("studio.importing.urls")),
    path("packages/", include("studio.export.urls")),
    path("guide/", include("studio.guide.urls")),
    path("", include("studio.waiting.urls")),
    path("firings/", include("firings.urls")),
    path("", include("tiles.urls")),
    *recording.short_addresses,
]

handler500 = "studio.trouble.views.broken"
