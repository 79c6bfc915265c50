"""The product's addresses, and the framework's list of outcomes: seven groups, counted, and as many rows."""

from django.contrib import admin
from django.urls import include, path

from tiles.models import Outcome

ROWS = 50


class OutcomeList(admin.ModelAdmin):
    """As the framework would show results to whoever wrote no page."""

    list_display = ("id", "tile", "body", "top_glaze", "reached_order", "coats_total", "surface", "fired_on")
    list_filter = ("body", "top_glaze", "reached_order", "atmosphere", "coats_total", "surface", "kiln")
    list_select_related = ("tile", "body", "top_glaze")
    list_per_page = ROWS
    show_facets = admin.ShowFacets.ALWAYS


admin.site.register(Outcome, OutcomeList)

urlpatterns = [path("admin/", admin.site.urls), path("", include("studio.urls"))]
