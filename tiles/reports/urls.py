"""The address of a report, /firings/<number>/report.pdf."""

from django.urls import path

from tiles.reports import views

app_name = "reports"

urlpatterns = [path("", views.firing, name="firing")]
