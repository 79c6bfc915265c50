"""Addresses under /results/saved/."""

from django.urls import path

from tiles.saved import views

app_name = "saved"

urlpatterns = [
    path("", views.searches, name="list"),
    path("new/", views.new, name="new"),
    path("<int:pk>/", views.edit, name="edit"),
]
