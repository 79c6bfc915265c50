"""What every record of the trade shares: a bin instead of deletion, a stamp against silent overwrites, who and when."""

from datetime import UTC, datetime
from typing import Any, Self, TypeAlias

from django.conf import settings
from django.db import models
from django.utils import timezone

# The person who acts: a studio.Person, which the floors below studio do not import.
User: TypeAlias = Any


def signed(record: Any, by: User) -> Any:
    """The record, whose next entry in the history says who did it."""
    record._history_user = by
    return record


class StaleEdit(Exception):
    """Somebody else changed the record after this edit began; `current` is what stands there now."""

    def __init__(self, current: "Kept") -> None:
        super().__init__(f"{current} was changed in the meantime")
        self.current = current


class CannotUndo(Exception):
    """What is to be undone was changed again since, or is nothing any more; the words are fit for a message."""


class ChangedMeanwhile(Exception):
    """What is to be changed or undone does not stand any more as it was seen."""


# The day in the bin of what is being laid down lot by lot: nobody sees it, nor in the bin, until all of it is there.
LAYING = datetime(9000, 1, 1, tzinfo=UTC)


class KeptQuerySet(models.QuerySet[Any]):
    """Questions that any kept record answers."""

    def kept(self) -> Self:
        """Records that are not in the bin."""
        return self.filter(binned_at__isnull=True)

    def binned(self) -> Self:
        """Records in the bin, newest first."""
        return self.filter(binned_at__lt=LAYING).order_by("-binned_at")

    def claim(self, pk: int, stamp: int) -> Any:
        """The record, locked for this transaction, if nobody changed it since `stamp` was read.

        Raises StaleEdit with the record as it stands now. The caller saves it; `Kept.save` moves the stamp on.
        """
        current = self.select_for_update(of=("self",)).get(pk=pk)
        if current.stamp != stamp:
            raise StaleEdit(current)
        return current


class InUseManager(models.Manager[Any]):
    """The everyday door: what lies in the bin is not seen."""

    def get_queryset(self) -> models.QuerySet[Any]:
        return super().get_queryset().filter(binned_at__isnull=True)


KeptManager = InUseManager.from_queryset(KeptQuerySet)


class Kept(models.Model):
    """A record that is never destroyed by a click.

    `stamp` counts the saves. A form carries the stamp it was opened with, and `claim` refuses a stale one.
    """

    stamp = models.PositiveIntegerField(default=1, editable=False)
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, editable=False, related_name="+"
    )
    binned_at = models.DateTimeField(null=True, blank=True, editable=False)
    binned_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, editable=False, related_name="+"
    )

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save, moving the stamp on for every save but the first."""
        if not self._state.adding:
            self.stamp += 1
            if (fields := kwargs.get("update_fields")) is not None:
                kwargs["update_fields"] = {*fields, "stamp"}
        super().save(*args, **kwargs)

    @classmethod
    def open_to(cls, person: User) -> models.Q:
        """Which records of this kind a person may see who may see the kind at all: most are the whole studio's."""
        return models.Q()

    @classmethod
    def changeable_by(cls, person: User) -> models.Q:
        """Which of them a person may change who may change the kind at all."""
        return cls.open_to(person)

    @property
    def standing_version(self) -> int:
        """The key of the version that stands now, 0 where nothing was ever written down."""
        if self.pk is None:
            return 0
        history: Any = type(self).history  # type: ignore[attr-defined]
        return (
            history.filter(id=self.pk).order_by("-history_id").values_list("history_id", flat=True).first()
            or 0
        )

    @property
    def is_binned(self) -> bool:
        return self.binned_at is not None

    def put_in_bin(self, *, by: User) -> None:
        """Out of sight for 30 days, then gone; `take_out_of_bin` undoes it."""
        self.binned_at, self.binned_by = timezone.now(), by
        self.save(update_fields=["binned_at", "binned_by"])

    def take_out_of_bin(self) -> None:
        """Back where it was."""
        self.binned_at = self.binned_by = None
        self.save(update_fields=["binned_at", "binned_by"])


def unique_while_kept(*fields: str, name: str) -> models.UniqueConstraint:
    """Unique among the records in use: a name in the bin does not block a new one."""
    return models.UniqueConstraint(
        *fields_as_expressions(fields), condition=models.Q(binned_at__isnull=True), name=name
    )


def fields_as_expressions(fields: tuple[str, ...]) -> list[Any]:
    """`lower:name` compares without regard to case; other words are plain columns."""
    return [
        models.functions.Lower(field.removeprefix("lower:"))
        if field.startswith("lower:")
        else models.F(field)
        for field in fields
    ]
