"""Addresses of batches and their readings."""

from django.urls import path

from tiles.laydown import views
from tiles.laydown.amounts.views import amounts
from tiles.laydown.thickness.views import thickness, weighed

app_name = "laydown"

urlpatterns = [
    path("amounts/", amounts, name="amounts"),
    path("thickness/", thickness, name="thickness"),
    path("thickness/weighed/", weighed, name="weighed"),
    path("lots/<int:pk>/", views.batch, name="batch"),
    path("lots/<int:pk>/readings/new/", views.new_reading, name="new_reading"),
    path("readings/<int:pk>/edit/", views.edit_reading, name="edit_reading"),
]
