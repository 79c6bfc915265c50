"""Addresses under /evidence/: each page for the whole studio, for a glaze, for a surface and for a tag."""

from django.urls import path

from tiles.apart import views as apart_views
from tiles.evidence import views

app_name = "evidence"

SCOPES = {
    "studio": "",
    "glaze": "glaze/<int:pk>/",
    "surface": "surface/<str:value>/",
    "tag": "tag/<str:tag>/",
}
BEHIND = {"changes": views.changes, "pairs": views.pairs, "repeats": views.repeats, "runs": views.runs}

urlpatterns = [
    *(path(start, views.page, name=scope) for scope, start in SCOPES.items()),
    *(
        path(f"{start}{page}/", view, name=f"{scope}_{page}")
        for scope, start in SCOPES.items()
        for page, view in BEHIND.items()
    ),
    path("apart/<int:pk>/", apart_views.one_apart, name="apart"),
]
