"""The pages that machines ask for."""

from django.urls import path

from studio.health import views

app_name = "health"
urlpatterns = [
    path("healthz", views.healthz, name="healthz"),
    path("favicon.ico", views.icon, name="icon"),
]
