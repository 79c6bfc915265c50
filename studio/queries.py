"""What every page asks of the studio itself."""

from django.conf import settings
from django.db import connection

from firings.preferences import Preferences
from firings.rows.queries import Prepared
from studio.models import StudioPreferences

_FIELDS = [field.attname for field in StudioPreferences._meta.concrete_fields]
_KEPT = Prepared(lambda among: StudioPreferences.objects.filter(among("pk")).order_by().values_list(*_FIELDS))


def preferences_now() -> Preferences:
    """The studio's preferences: what its keeper chose, or the defaults."""
    row = next(iter(_KEPT.rows([StudioPreferences.ROW])), None)
    kept = StudioPreferences.from_db(connection.alias, _FIELDS, row) if row else StudioPreferences()
    return kept.as_preferences(settings.STUDIO_ADDRESS)
