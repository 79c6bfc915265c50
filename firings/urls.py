"""Where the firings floor's subjects live under /firings/."""

from importlib.util import find_spec

from django.urls import URLPattern, URLResolver, include, path

app_name = "firings"

SUBJECTS = (("kilns/", "kilns"), ("", "logbook"))

urlpatterns: list[URLPattern | URLResolver] = [
    path(place, include(f"firings.{subject}.urls"))
    for place, subject in SUBJECTS
    if find_spec(f"firings.{subject}.urls")
]
