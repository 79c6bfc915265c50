"""The home page's address."""

from django.urls import path

from studio.waiting import views

app_name = "waiting"

urlpatterns = [path("", views.home, name="home")]
