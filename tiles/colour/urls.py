"""Addresses under /colour/."""

from django.urls import path, register_converter

# It knows <sha256:…>.
import tiles.photos.urls  # noqa: F401
from tiles.colour import views

app_name = "colour"


class KeysConverter:
    """Keys of records in a row: 12-13-14."""

    regex = "[0-9]{1,15}(?:-[0-9]{1,15}){0,39}"

    def to_python(self, value: str) -> list[int]:
        return [int(key) for key in value.split("-")]

    def to_url(self, value: list[int]) -> str:
        return "-".join(map(str, value))


register_converter(KeysConverter, "keys")

urlpatterns = [
    path("map/", views.colour_map, name="map"),
    path("photos/<sha256:sha256>/", views.measure, name="measure"),
    path("photos/<sha256:sha256>/reading/", views.reading, name="reading"),
    path("outcomes/<int:pk>/", views.outcome, name="outcome"),
    path("outcomes/<int:pk>/instrument/", views.instrument, name="instrument"),
    path("readings/<int:pk>/choose/", views.choose, name="choose"),
    path("undo/<keys:keys>/<int:mark>/", views.undo, name="undo"),
]
