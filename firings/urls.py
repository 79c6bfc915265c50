"""Where the firings floor's subjects live under /firings/."""

from django.urls import include, path

app_name = "firings"

urlpatterns = [
    path("kilns/", include("firings.kilns.urls")),
    path("programmes/", include("firings.programmes.urls")),
    path("", include("firings.curves.urls")),
    path("", include("firings.logbook.urls")),
]
