"""The site map: one include per subject."""

from importlib.util import find_spec

from django.urls import include, path

from tiles.recording import urls as recording

SUBJECTS = (("", "health"), ("", "people"), ("", "preferences"), ("history/", "history"), ("", "waiting"))

urlpatterns = [
    *(
        path(place, include(f"studio.{subject}.urls"))
        for place, subject in SUBJECTS
        if find_spec(f"studio.{subject}.urls")
    ),
    path("firings/", include("firings.urls")),
    path("", include("tiles.urls")),
    *recording.short_addresses,
]
