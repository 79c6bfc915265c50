"""Addresses under /evidence/."""

from django.urls import path

from tiles.apart import views as apart_views
from tiles.evidence import views

app_name = "evidence"

urlpatterns = [
    path("", views.studio, name="studio"),
    path("pairs/", views.studio_pairs, name="studio_pairs"),
    path("glaze/<int:pk>/", views.glaze, name="glaze"),
    path("glaze/<int:pk>/pairs/", views.glaze_pairs, name="glaze_pairs"),
    path("surface/<str:value>/", views.surface, name="surface"),
    path("surface/<str:value>/pairs/", views.surface_pairs, name="surface_pairs"),
    path("apart/<int:pk>/", apart_views.one_apart, name="apart"),
]
