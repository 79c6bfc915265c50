"""Addresses of batches and their readings."""

from django.urls import path

from tiles.laydown import views

app_name = "laydown"

urlpatterns = [
    path("lots/<int:pk>/", views.batch, name="batch"),
    path("lots/<int:pk>/readings/new/", views.new_reading, name="new_reading"),
    path("readings/<int:pk>/edit/", views.edit_reading, name="edit_reading"),
]
