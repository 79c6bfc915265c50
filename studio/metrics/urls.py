"""Where a monitoring system asks."""

from django.urls import path

from studio.metrics import views

app_name = "metrics"
urlpatterns = [path("metrics", views.metrics, name="metrics")]
