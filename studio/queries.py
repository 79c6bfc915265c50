"""What every page asks of the studio itself."""

from django.conf import settings

from firings.preferences import Preferences
from studio.models import StudioPreferences


def preferences_now() -> Preferences:
    """The studio's preferences: what its keeper chose, or the defaults."""
    kept = StudioPreferences.objects.filter(pk=StudioPreferences.ROW).first()
    return (kept or StudioPreferences()).as_preferences(settings.STUDIO_ADDRESS)
