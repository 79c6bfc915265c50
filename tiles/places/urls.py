"""Addresses under /places/."""

from django.urls import path

from tiles.places import views

app_name = "places"

urlpatterns = [
    path("", views.places, name="list"),
    path("new/", views.new, name="new"),
    path("bring/", views.bring, name="bring"),
    path("<int:pk>/", views.place, name="place"),
    path("<int:pk>/edit/", views.edit, name="edit"),
    path("<int:pk>/put/", views.put, name="put"),
    path("<int:pk>/take/", views.take, name="take"),
]
