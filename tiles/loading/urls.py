"""Addresses of the loading page, under /firings/<number>/load/."""

from django.urls import path

from tiles.loading import views

app_name = "loading"

urlpatterns = [
    path("", views.firing, name="firing"),
    path("off/", views.take_off, name="take_off"),
    path("move/", views.move, name="move"),
    path("propose/", views.propose, name="propose"),
    path("undo-cones/<int:first>/<int:last>/", views.undo_cones, name="undo_cones"),
    path("undo/<int:first>/<int:last>/", views.undo, name="undo"),
]
