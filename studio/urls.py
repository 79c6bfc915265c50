"""The site map: one include per subject."""

from django.urls import include, path

urlpatterns = [
    path("", include("studio.health.urls")),
    path("", include("studio.people.urls")),
    path("", include("studio.preferences.urls")),
]
