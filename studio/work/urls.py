"""Where a keeper sees the work nobody waits for."""

from django.urls import path

from studio.work import views

app_name = "work"

urlpatterns = [
    path("", views.work, name="work"),
    path("again/", views.try_all_again, name="try_all_again"),
    path("<uuid:work_id>/again/", views.try_again, name="try_again"),
]
