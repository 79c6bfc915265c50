"""The guide."""

from django.urls import path

from studio.guide import views

app_name = "guide"
urlpatterns = [
    path("", views.index, name="index"),
    path("<slug:slug>/", views.task, name="task"),
]
