"""Addresses under /evidence/."""

from django.urls import path

from tiles.apart import views as apart_views

app_name = "evidence"

urlpatterns = [
    path("apart/<int:pk>/", apart_views.one_apart, name="apart"),
]
