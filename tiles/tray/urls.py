"""Where photos are sorted."""

from django.urls import path

from tiles.tray import views

app_name = "tray"

urlpatterns = [
    path("", views.tray, name="tray"),
    path("<sha256:sha256>/file/", views.file, name="file"),
    path("filings/<int:filing>/unfile/", views.unfile, name="unfile"),
    path("filings/<int:history_id>/refile/", views.refile, name="refile"),
]
