"""Addresses of reports, under /firings/."""

from django.urls import path

from firings.report import views

app_name = "report"

urlpatterns = [path("<int:number>/report.pdf", views.report, name="firing")]
