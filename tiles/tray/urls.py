"""Where photos are sorted."""

from django.urls import path, register_converter
from django.urls.converters import StringConverter

import tiles.photos.urls  # noqa: F401  # registers how a photo's name is written in an address
from tiles.tray import views

app_name = "tray"


class ShareConverter(StringConverter):
    """A tile's part of a photo."""

    regex = r"[0-9]{1,5}-[0-9]{1,5}-[0-9]{1,5}-[0-9]{1,5}"


register_converter(ShareConverter, "photo_share")

urlpatterns = [
    path("", views.tray, name="tray"),
    path("burst/", views.burst, name="burst"),
    path("sort/", views.sort, name="sort"),
    path("runs/", views.runs, name="runs"),
    path("states/", views.states, name="states"),
    path("together/", views.together, name="together"),
    path("accept/", views.accept, name="accept"),
    path("filings/unfile/", views.unfile_together, name="unfile_together"),
    path("filings/refile/", views.refile_together, name="refile_together"),
    path("<sha256:sha256>/<photo_share:share>/<photo_size:size>.jpg", views.part, name="part"),
    path("<sha256:sha256>/file/", views.file, name="file"),
    path("filings/<int:filing>/unfile/", views.unfile, name="unfile"),
    path("filings/<int:history_id>/refile/", views.refile, name="refile"),
]
