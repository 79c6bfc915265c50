"""Addresses of the unload page, under /firings/<number>/unload/."""

from django.urls import path

from tiles.unloading import views

app_name = "unloading"

urlpatterns = [
    path("", views.firing, name="firing"),
    path("unopened/", views.unopened, name="unopened"),
    path("<str:tile>/", views.tile, name="tile"),
    path("<str:tile>/judge/", views.judge_tile, name="judge_tile"),
    path("<str:tile>/undo/<int:mark>/", views.undo, name="undo"),
    path("<str:tile>/<int:zone>/", views.judge_zone, name="judge_zone"),
]
