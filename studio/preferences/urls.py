"""The keeper's page of preferences."""

from django.urls import path

from studio.preferences import views

app_name = "preferences"
urlpatterns = [
    path("preferences/", views.edit, name="edit"),
    path("preferences/undo/<int:before>/<int:mark>/", views.undo, name="undo"),
]
