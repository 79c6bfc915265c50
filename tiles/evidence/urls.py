"""Addresses under /evidence/."""

from django.urls import path

from tiles.apart import views as apart_views
from tiles.evidence import views

app_name = "evidence"

urlpatterns = [
    path("", views.studio, name="studio"),
    path("changes/", views.studio_changes, name="studio_changes"),
    path("pairs/", views.studio_pairs, name="studio_pairs"),
    path("repeats/", views.studio_repeats, name="studio_repeats"),
    path("runs/", views.studio_runs, name="studio_runs"),
    path("glaze/<int:pk>/", views.glaze, name="glaze"),
    path("glaze/<int:pk>/changes/", views.glaze_changes, name="glaze_changes"),
    path("glaze/<int:pk>/pairs/", views.glaze_pairs, name="glaze_pairs"),
    path("glaze/<int:pk>/repeats/", views.glaze_repeats, name="glaze_repeats"),
    path("glaze/<int:pk>/runs/", views.glaze_runs, name="glaze_runs"),
    path("surface/<str:value>/", views.surface, name="surface"),
    path("surface/<str:value>/changes/", views.surface_changes, name="surface_changes"),
    path("surface/<str:value>/pairs/", views.surface_pairs, name="surface_pairs"),
    path("surface/<str:value>/repeats/", views.surface_repeats, name="surface_repeats"),
    path("surface/<str:value>/runs/", views.surface_runs, name="surface_runs"),
    path("apart/<int:pk>/", apart_views.one_apart, name="apart"),
]
