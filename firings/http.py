"""The request our views are given."""

from django.contrib.auth.models import AbstractUser
from django.http import HttpRequest
from django_htmx.middleware import HtmxDetails

from firings.preferences import Preferences


class StudioRequest(HttpRequest):
    """A request that went through our middleware: signed in, htmx told apart, preferences at hand."""

    htmx: HtmxDetails
    preferences: Preferences
    user: AbstractUser
