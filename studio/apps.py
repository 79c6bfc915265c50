"""Puts the floors together when Django starts."""

from django.apps import AppConfig


class StudioConfig(AppConfig):
    name = "studio"
