"""Addresses of range sheets: the list under /ranges/, a glaze's own under /catalogue/glazes/<key>/range/."""

from django.urls import include, path

from tiles.ranges import views

app_name = "ranges"

of_a_glaze = [
    path("", views.sheet, name="sheet"),
    path("cell/", views.cell, name="cell"),
    path("plan/", views.plan, name="plan"),
    path("combinations/", views.combinations, name="combinations"),
]
urlpatterns = [
    path("ranges/", views.glazes, name="glazes"),
    path("catalogue/glazes/<int:pk>/range/", include(of_a_glaze)),
]
