"""Addresses under /history/: changes, putting back, and the bin."""

from django.urls import include, path

from studio.bin import views as bin_views
from studio.history import views

app_name = "history"

of_record = [
    path("", views.changes, name="changes"),
    path("restore/<int:history_id>/", views.put_back, name="restore"),
    path("bin/", bin_views.put_in_bin, name="bin"),
    path("unbin/", bin_views.unbin, name="unbin"),
]

urlpatterns = [
    path("bin/", bin_views.bin_page, name="bin_page"),
    path("<str:app_label>/<str:model>/take-back/", views.take_back, name="take_back"),
    path("<str:app_label>/<str:model>/<int:pk>/", include(of_record)),
]
