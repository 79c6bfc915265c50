"""Addresses under /tiles/: the list, recording, series, and each tile's page. A tile's label is caught last."""

from django.urls import path

from tiles.numbering import views as numbering_views
from tiles.recording import views
from tiles.series import views as series_views
from tiles.tilepage import views as tilepage_views

app_name = "recording"

urlpatterns = [
    path("", tilepage_views.tile_list, name="list"),
    path("new/", views.new, name="new"),
    path("new/preview/", views.preview, name="preview"),
    path("made/", views.made, name="made"),
    path("bin/", views.bin_tiles, name="bin_tiles"),
    path("unbin/", views.unbin_tiles, name="unbin_tiles"),
    path("find/", numbering_views.find, name="find"),
    path("number/", numbering_views.number_check, name="number_check"),
    path("series/", series_views.series_list, name="series_list"),
    path("series/add/", series_views.series_add, name="series_add"),
    path("series/new/", series_views.new_series, name="new_series"),
    path("series/<int:pk>/", series_views.series, name="series"),
    path("series/<int:pk>/edit/", series_views.edit_series, name="edit_series"),
    path("series/<int:pk>/assign/", series_views.assign, name="assign"),
    path("<str:label>/again/", views.again, name="again"),
    path("<str:label>/edit/", views.edit, name="edit"),
    path("<str:label>/", tilepage_views.tile_page, name="tile"),
]

# What printed codes carry: short, so that a code stays coarse enough to scan from a small label.
short_addresses = [
    path("T/<str:label>", tilepage_views.short_address, name="short"),
    path("t/<str:label>", tilepage_views.short_address, name="short_in_small_letters"),
]
