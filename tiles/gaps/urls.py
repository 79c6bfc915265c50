"""Addresses under /gaps/."""

from django.urls import path

from tiles.gaps import views

app_name = "gaps"

urlpatterns = [
    path("", views.index, name="index"),
    path("new/", views.new, name="new"),
    path("series/<int:pk>/", views.series, name="series"),
    path("<int:pk>/", views.standard, name="standard"),
    path("<int:pk>/edit/", views.edit, name="edit"),
    path("<int:pk>/glaze/<int:glaze>/", views.glaze, name="glaze"),
]
