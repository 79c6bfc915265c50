"""Addresses of photos close up, under /photos/."""

from django.urls import path

import tiles.photos.urls  # noqa: F401  # registers how a photo's name is written in an address
from tiles.closeup import views

app_name = "closeup"

urlpatterns = [
    path("run/<int:outcome>/", views.run_of, name="run_of"),
    path("<sha256:sha256>/pieces/", views.pyramid, name="pyramid"),
    path("<sha256:sha256>/pieces/<int:level>/<int:column>-<int:row>.jpg", views.piece, name="piece"),
    path("<sha256:sha256>/run/<int:outcome>/", views.run, name="run"),
    path("<sha256:sha256>/run/<int:outcome>/length/", views.run_length, name="run_length"),
    path("<sha256:sha256>/run/<int:outcome>/undo/<int:mark>/", views.undo_run, name="undo_run"),
]
