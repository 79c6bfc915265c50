"""Addresses under /catalogue/glazes/<key>/range/."""

from django.urls import path

from tiles.ranges import views

app_name = "ranges"

urlpatterns = [
    path("", views.sheet, name="sheet"),
    path("cell/", views.cell, name="cell"),
    path("plan/", views.plan, name="plan"),
    path("combinations/", views.combinations, name="combinations"),
]
