"""Where photos arrive and are looked at."""

from django.urls import path, register_converter
from django.urls.converters import StringConverter

from tiles.photos import views
from tiles.photos.renditions import Size

app_name = "photos"


class Sha256Converter(StringConverter):
    """A photo's name."""

    regex = "[0-9a-f]{64}"


class SizeConverter(StringConverter):
    """A rendition's size."""

    regex = "|".join(size.value for size in Size)


register_converter(Sha256Converter, "sha256")
register_converter(SizeConverter, "photo_size")

urlpatterns = [
    path("receive/", views.receive, name="receive"),
    path("<sha256:sha256>/", views.show, name="photo"),
    path("<sha256:sha256>/<photo_size:size>.jpg", views.rendition, name="rendition"),
    path("<sha256:sha256>/original/", views.original, name="original"),
    path("<sha256:sha256>/bin/", views.bin_photo, name="bin"),
    path("<sha256:sha256>/unbin/", views.unbin, name="unbin"),
]
