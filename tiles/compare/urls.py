"""The address of a comparison, under /results/compare/."""

from django.urls import path

from tiles.compare import views

app_name = "compare"

urlpatterns = [path("", views.compare, name="compare")]
