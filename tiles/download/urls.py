"""Addresses of searches as files: that of the page, with another ending."""

from django.urls import path

from tiles.download import views

app_name = "download"

urlpatterns = [
    path("results.csv", views.as_csv, name="csv"),
    path("results.json", views.as_json, name="json"),
]
