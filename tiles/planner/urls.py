"""Addresses under /plans/."""

from django.urls import path

from tiles.planner import views

app_name = "planner"

urlpatterns = [
    path("new/", views.new, name="new"),
    path("totals/", views.totals, name="totals"),
    path("<int:pk>/", views.plan, name="plan"),
    path("<int:pk>/totals/", views.totals, name="totals_of"),
    path("<int:pk>/make/", views.make, name="make"),
    path("<int:pk>/unmake/", views.unmake, name="unmake"),
    path("<int:pk>/sheet/", views.sheet, name="sheet"),
]
