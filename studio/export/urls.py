"""Packages of the whole studio, for keepers."""

from django.urls import path

from studio.export import views

app_name = "export"
urlpatterns = [
    path("", views.packages, name="list"),
    path("make/", views.make, name="make"),
    path("<str:name>", views.fetch, name="file"),
]
