"""What a session holds, asked on every page."""

from typing import Any

from django.contrib.sessions.backends.db import SessionStore as KeptInDatabase
from django.contrib.sessions.models import Session
from django.db import connection
from django.utils import timezone

from firings.rows.queries import PreparedByText

_FIELDS = [field.attname for field in Session._meta.concrete_fields]
_KEPT = PreparedByText(lambda key: Session.objects.filter(session_key=key).order_by().values_list(*_FIELDS))


class SessionStore(KeptInDatabase):
    """The framework's own in all but how one is read."""

    def _get_session_from_db(self) -> Any:
        key = self.session_key or ""
        # A browser sends what it likes; a key is letters and digits.
        row = next(iter(_KEPT.rows(key)), None) if key.isalnum() else None
        kept = Session.from_db(connection.alias, _FIELDS, row) if row else None
        if kept is None or kept.expire_date <= timezone.now():
            self._session_key = None
            return None
        return kept
