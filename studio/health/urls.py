"""The page that machines ask."""

from django.urls import path

from studio.health import views

app_name = "health"
urlpatterns = [path("healthz", views.healthz, name="healthz")]
