"""Addresses under /results/together/."""

from django.urls import path

from tiles.together import views

app_name = "together"

urlpatterns = [
    path("", views.together, name="together"),
    path("change/", views.change, name="change"),
    path("undo/<int:mark>/", views.undo, name="undo"),
    path("print/", views.to_tray, name="to_tray"),
]
