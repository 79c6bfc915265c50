"""Addresses of the programmes' pages, under /firings/programmes/."""

from django.urls import path

from firings.programmes import views

app_name = "programmes"

urlpatterns = [
    path("", views.programme_list, name="list"),
    path("new/", views.new, name="new"),
    path("text/", views.text, name="text"),
    path("preview/", views.preview, name="preview"),
    path("compare/", views.compare, name="compare"),
    path("<int:pk>/", views.programme_page, name="programme"),
    path("<int:pk>/edit/", views.edit, name="edit"),
]
