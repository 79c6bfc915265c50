"""Addresses of what waits to be fired, under /firings/to-fire/."""

from django.urls import path

from tiles.loading.waiting import views

app_name = "to_fire"

urlpatterns = [
    path("", views.page, name="page"),
    path("fire/", views.fire, name="fire"),
]
