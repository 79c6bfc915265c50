"""Addresses under /tiles/: the list, recording, and each tile's page. A tile's label is caught last."""

from django.urls import path

from tiles.tilepage import views as tilepage_views

app_name = "recording"

urlpatterns = [
    path("", tilepage_views.tile_list, name="list"),
    path("<str:label>/", tilepage_views.tile_page, name="tile"),
]

# What printed codes carry: short, so that a code stays coarse enough to scan from a small label.
short_addresses = [
    path("T/<str:label>", tilepage_views.short_address, name="short"),
    path("t/<str:label>", tilepage_views.short_address),
]
