"""Addresses of the kilns' pages, under /firings/kilns/."""

from django.urls import path

from firings.kilns import views

app_name = "kilns"

urlpatterns = [
    path("", views.kiln_list, name="list"),
    path("new/", views.new, name="new"),
    path("add/", views.add, name="add"),
    path("<int:pk>/", views.kiln_page, name="kiln"),
    path("<int:pk>/edit/", views.edit, name="edit"),
]
