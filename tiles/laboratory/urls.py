"""Addresses of what was measured on fired ware."""

from django.urls import path

from tiles.laboratory import views

app_name = "laboratory"

urlpatterns = [
    path("", views.index, name="index"),
    path("absorption/new/", views.new_absorption, name="new_absorption"),
    path("absorption/worked/", views.worked, name="worked"),
    path("absorption/<int:pk>/", views.absorption, name="absorption"),
    path("absorption/<int:pk>/edit/", views.edit_absorption, name="edit_absorption"),
    path("leaching/", views.leach_reports, name="leach_reports"),
    path("leaching/new/", views.new_leach_report, name="new_leach_report"),
    path("leaching/<int:pk>/", views.leach_report, name="leach_report"),
    path("leaching/<int:pk>/edit/", views.edit_leach_report, name="edit_leach_report"),
]
