"""Where the tiles floor's subjects live in the site; the firings' pages that show tiles are under /firings/."""

from django.urls import include, path

app_name = "tiles"

urlpatterns = [
    path("tiles/", include("tiles.recording.urls")),
    path("", include("tiles.download.urls")),
    path("results/compare/", include("tiles.compare.urls")),
    path("results/saved/", include("tiles.saved.urls")),
    path("results/together/", include("tiles.together.urls")),
    path("results/", include("tiles.search.urls")),
    path("", include("tiles.ranges.urls")),
    path("catalogue/", include("tiles.laydown.urls")),
    path("catalogue/", include("tiles.catalogue.urls")),
    path("photos/", include("tiles.photos.urls")),
    path("photos/", include("tiles.tray.urls")),
    path("photos/", include("tiles.closeup.urls")),
    path("", include("tiles.public.urls")),
    path("answers/", include("tiles.answers.urls")),
    path("gaps/", include("tiles.gaps.urls")),
    path("evidence/", include("tiles.evidence.urls")),
    path("colour/", include("tiles.colour.urls")),
    path("glazing/", include("tiles.glazing.urls")),
    path("plans/", include("tiles.planner.urls")),
    path("boards/", include("tiles.boards.urls")),
    path("places/", include("tiles.places.urls")),
    path("laboratory/", include("tiles.laboratory.urls")),
    path("print/", include("tiles.prints.urls")),
    path("firings/to-fire/", include("tiles.loading.waiting.urls")),
    path("firings/<int:firing_number>/report.pdf", include("tiles.reports.urls")),
    path("firings/<int:firing_number>/load/", include("tiles.loading.urls")),
    path("firings/<int:firing_number>/unload/", include("tiles.unloading.urls")),
]
