"""Addresses under /answers/."""

from django.urls import path

from tiles.answers import views

app_name = "answers"

urlpatterns = [path("", views.answer, name="answer"), path("runs/", views.runs, name="runs")]
