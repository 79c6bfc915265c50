"""Addresses under /results/."""

from django.urls import path

from tiles.search import views

app_name = "search"

urlpatterns = [path("", views.results, name="results")]
