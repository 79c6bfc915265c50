"""Where the tiles floor's subjects live in the site; the firings' pages that show tiles are under /firings/."""

from importlib.util import find_spec

from django.urls import URLPattern, URLResolver, include, path

app_name = "tiles"

SUBJECTS = (
    ("tiles/", "recording"),
    ("results/", "search"),
    ("catalogue/", "catalogue"),
    ("photos/", "photos"),
    ("print/", "prints"),
    ("firings/<int:firing_number>/load/", "loading"),
    ("firings/<int:firing_number>/unload/", "unloading"),
)

urlpatterns: list[URLPattern | URLResolver] = [
    path(place, include(f"tiles.{subject}.urls"))
    for place, subject in SUBJECTS
    if find_spec(f"tiles.{subject}.urls")
]
