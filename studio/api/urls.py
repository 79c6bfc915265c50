"""Addresses of the read API, its documents and one's keys."""

from django.urls import include, path

from studio.api import views

pages = (
    [
        path("", views.documents, name="documents"),
        path("openapi.json", views.openapi, name="openapi"),
        path("keys/", views.keys, name="keys"),
        path("keys/<int:pk>/take-back/", views.take_back, name="take_back"),
    ],
    "api",
)

urlpatterns = [path("api/1/", views.api.urls), path("api/", include(pages))]
