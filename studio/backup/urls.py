"""The keeper's page of backups."""

from django.urls import path

from studio.backup import views

app_name = "backup"
urlpatterns = [
    path("", views.backups, name="list"),
    path("make/", views.make, name="make"),
    path("<int:pk>/prove/", views.prove, name="prove"),
    path("<int:pk>/throw-away/", views.throw_away, name="throw_away"),
    path("<int:pk>/file/", views.download, name="file"),
]
