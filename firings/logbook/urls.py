"""Addresses of the logbook, under /firings/."""

from django.urls import path

from firings.logbook import views

app_name = "logbook"

urlpatterns = [
    path("", views.firing_list, name="list"),
    path("new/", views.new, name="new"),
    path("new/programmes/", views.programmes, name="programmes"),
    path("<int:number>/", views.firing_page, name="firing"),
    path("<int:number>/edit/", views.edit, name="edit"),
    path("<int:number>/state/", views.state, name="state"),
    path("<int:number>/undo/<int:history_id>/", views.undo, name="undo"),
    path("<int:number>/cones/", views.witness_cones, name="cones"),
    path("<int:number>/cones/said/", views.cones_said, name="cones_said"),
    path("<int:number>/notes/", views.note, name="note"),
    path("<int:number>/notes/<int:pk>/strike/", views.strike_note, name="strike_note"),
]
