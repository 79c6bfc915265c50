"""The studio's people, the one-time links they come in by, and the studio's preferences."""

from datetime import datetime
from typing import ClassVar, Self

from django.contrib.auth.models import AbstractUser, UserManager
from django.db import models
from django.db.models.functions import Lower, Now
from django.utils import timezone
from django.utils.crypto import salted_hmac
from simple_history.models import HistoricalRecords

from firings.preferences import Preferences
from studio.roles import Role
from studio.vocabulary import ImportState, LengthUnit, LinkPurpose, Paper, TemperatureUnit

# The framework's own, so that sessions opened before there were marks stay open.
SESSION_SALT = "django.contrib.auth.models.AbstractBaseUser.get_session_auth_hash"


class PersonQuerySet(models.QuerySet["Person"]):
    def by_name(self) -> Self:
        """People as a list of names is read: active ones first."""
        return self.order_by("-is_active", Lower("name"), "username")

    def in_role(self, role: Role) -> Self:
        """People who hold this role."""
        return self.filter(groups__name=role.value)


class PeopleManager(UserManager.from_queryset(PersonQuerySet)):  # type: ignore[misc]
    use_in_migrations = False

    def get_by_natural_key(self, username: str | None) -> "Person":
        """The person who signs in by this name, in capitals or not."""
        return self.get(username__iexact=username)


class Person(AbstractUser):
    """Someone of the studio. `username` is what they type to sign in, `name` is what others read."""

    first_name = None  # type: ignore[assignment]
    last_name = None  # type: ignore[assignment]
    name = models.CharField(max_length=120)
    # Part of what each session is signed with: another mark ends all sessions there are.
    sessions_mark = models.CharField(max_length=32, blank=True, editable=False)

    objects: ClassVar[PeopleManager] = PeopleManager()

    REQUIRED_FIELDS = ["name"]

    class Meta:
        verbose_name_plural = "people"
        constraints = [
            models.UniqueConstraint(Lower("username"), name="one_person_per_sign_in_name"),
        ]

    def __str__(self) -> str:
        return self.name or self.username

    def _get_session_auth_hash(self, secret: str | None = None) -> str:
        """What a session must carry to stay open: it changes with the password, and with the mark."""
        signed = self.password + self.sessions_mark
        return salted_hmac(SESSION_SALT, signed, secret=secret, algorithm="sha256").hexdigest()

    def get_full_name(self) -> str:
        """The name others read."""
        return str(self)

    def get_short_name(self) -> str:
        """The name others read: nothing tells us which part of it is the short one."""
        return str(self)


class SignInLinkQuerySet(models.QuerySet["SignInLink"]):
    def open_at(self, moment: datetime) -> Self:
        """Links not used yet and not run out, of people who may sign in."""
        return self.filter(used_at=None, expires_at__gt=moment, person__is_active=True)


class SignInLink(models.Model):
    """A link that lets one person in once. Only the token's hash is kept."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="sign_in_links")
    purpose = models.CharField(max_length=16, choices=LinkPurpose.choices())
    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(default=timezone.now)
    made_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    objects = SignInLinkQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(purpose__in=LinkPurpose.values()), name="link_purpose_is_known"
            ),
            models.CheckConstraint(
                condition=models.Q(expires_at__gt=models.F("made_at")), name="link_expires_after_it_was_made"
            ),
        ]

    def __str__(self) -> str:
        return f"{LinkPurpose.label_of(self.purpose)} link for {self.person}"


class SignInTry(models.Model):
    """A sign-in that failed, or has not succeeded yet. Kept for minutes, to refuse someone who guesses.

    `mark` is a hash of what was tried or from where: people do type a password into the wrong field.
    """

    mark = models.CharField(max_length=64)
    tried_at = models.DateTimeField(default=timezone.now)

    class Meta:
        verbose_name_plural = "sign-in tries"
        indexes = [models.Index(fields=["mark", "tried_at"], name="sign_in_tries_by_mark")]

    def __str__(self) -> str:
        return f"Sign-in try at {self.tried_at:%H:%M}"


class AccessKey(models.Model):
    """A key by which another program reads the log as one person may, and changes nothing. Only its hash is kept.

    `begins` is shown so that a person knows one key from another.
    """

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="access_keys")
    name = models.CharField("what it is for", max_length=60)
    key_hash = models.CharField(max_length=64, unique=True, editable=False)
    begins = models.CharField(max_length=8, editable=False)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    used_on = models.DateField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["-made_at"]

    def __str__(self) -> str:
        return self.name


class Passkey(models.Model):
    """The public half of a key that a person's phone or computer keeps: what it signs shows that they are there.

    credential_id : base64url, of up to 1023 bytes, as the device names it
    public_key : a COSE key
    sign_count : how often the device said it has signed; 0 where it does not count
    person_handle : base64url, by what the device tells people apart; it names nobody
    site : the host name it was made at; a browser shows it nowhere else
    """

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="passkeys")
    name = models.CharField("where it is", max_length=60)
    credential_id = models.CharField(max_length=1400, unique=True, editable=False)
    public_key = models.BinaryField()
    sign_count = models.PositiveBigIntegerField(default=0, editable=False)
    person_handle = models.CharField(max_length=88, editable=False)
    site = models.CharField(max_length=253, editable=False)
    transports = models.JSONField(default=list, editable=False)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    used_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["-made_at"]

    def __str__(self) -> str:
        return self.name


class StudioPreferences(models.Model):
    """How this studio likes things written: one row at most."""

    ROW = 1

    id = models.PositiveSmallIntegerField(primary_key=True, default=ROW, editable=False)
    studio_name = models.CharField(max_length=80, default="Our studio")
    address = models.CharField(max_length=200, blank=True, default="")
    temperature_unit = models.CharField(
        max_length=1, choices=TemperatureUnit.choices(), default=TemperatureUnit.CELSIUS.value
    )
    length_unit = models.CharField(
        max_length=2, choices=LengthUnit.choices(), default=LengthUnit.MILLIMETRE.value
    )
    paper = models.CharField(max_length=8, choices=Paper.choices(), default=Paper.A4.value)

    history = HistoricalRecords()

    class Meta:
        verbose_name_plural = "studio preferences"
        constraints = [
            models.CheckConstraint(condition=models.Q(id=1), name="one_row_of_preferences"),
            models.CheckConstraint(
                condition=models.Q(temperature_unit__in=TemperatureUnit.values()),
                name="temperature_unit_is_known",
            ),
            models.CheckConstraint(
                condition=models.Q(length_unit__in=LengthUnit.values()), name="length_unit_is_known"
            ),
            models.CheckConstraint(condition=models.Q(paper__in=Paper.values()), name="paper_is_known"),
        ]

    def __str__(self) -> str:
        return f"Preferences of {self.studio_name}"

    def as_preferences(self, default_address: str) -> Preferences:
        """The plain value every page and print reads."""
        return Preferences(
            studio_name=self.studio_name,
            address=self.address or default_address,
            temperature_unit=self.temperature_unit,  # type: ignore[arg-type]
            length_unit=self.length_unit,  # type: ignore[arg-type]
            paper=self.paper,  # type: ignore[arg-type]
        )


class BackupQuerySet(models.QuerySet["Backup"]):
    """Questions about backups; each method finishes the sentence "backups …"."""

    def proven(self) -> Self:
        """Backups that were restored on trial and found true, the newest first."""
        return self.filter(proven_at__isnull=False, trouble="").order_by("-made_at")

    def not_whole(self) -> Self:
        """Backups that still lie somewhere and were found not to be what they should, the newest first."""
        return self.filter(is_gone=False).exclude(trouble="").order_by("-made_at")


class Backup(models.Model):
    """One backup that was made, and whether it was proven since. The file itself may be anywhere by now."""

    place = models.CharField(max_length=500)
    sha256 = models.CharField(max_length=64)
    byte_count = models.PositiveBigIntegerField()
    made_at = models.DateTimeField(default=timezone.now)
    made_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    # What was missing or damaged on the studio's own disk already.
    remarks = models.JSONField(default=list, blank=True)
    proven_at = models.DateTimeField(null=True, blank=True)
    trouble = models.CharField(max_length=500, blank=True)
    is_gone = models.BooleanField(default=False)

    objects = BackupQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at"]
        indexes = [models.Index(fields=["sha256"], name="backup_by_digest")]

    def __str__(self) -> str:
        return self.place.rpartition("/")[2]

    @property
    def is_thinned_out(self) -> bool:
        """Whether the studio itself took its file away; where nobody knows who did, no proof stands any more."""
        return self.is_gone and self.proven_at is not None


class Worker(models.Model):
    """A process that does what nobody waits for, from its hello to its goodbye, and when it last said that it lives.

    Moments are the database's: the only clock that workers on several machines share.
    """

    name = models.CharField(max_length=64, primary_key=True)
    place = models.CharField(max_length=120)
    began_at = models.DateTimeField(db_default=Now())
    beat_at = models.DateTimeField(db_default=Now())

    class Meta:
        ordering = ["began_at"]

    def __str__(self) -> str:
        return self.place


class SpreadsheetImport(models.Model):
    """One spreadsheet brought in: the file as it came, how it is read, what it made, and whether that was undone.

    content : the file, compressed
    told : how it is read, as a person chose it; `looked` what was found in it
    header_key : tells one layout of columns from another, so that the next file is read as this one was
    """

    KINDS = (("results", "results"), ("glazes", "glazes"), ("bodies", "clay bodies"))

    holds = models.CharField(max_length=8, choices=KINDS)
    file_name = models.CharField(max_length=200)
    sha256 = models.CharField(max_length=64)
    content = models.BinaryField()
    header_key = models.CharField(max_length=32, blank=True)
    told = models.JSONField(default=dict)
    looked = models.JSONField(default=dict)
    report = models.JSONField(default=dict)
    state = models.CharField(max_length=8, choices=ImportState.choices(), default=ImportState.OPEN.value)
    progress = models.PositiveSmallIntegerField(default=0)
    trouble = models.CharField(max_length=500, blank=True)
    made_at = models.DateTimeField(default=timezone.now)
    made_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    kept_at = models.DateTimeField(null=True, blank=True)
    undone_at = models.DateTimeField(null=True, blank=True)
    undone_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-made_at"]
        indexes = [models.Index(fields=["holds", "header_key"], name="import_by_headings")]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state__in=ImportState.values()), name="import_state_is_known"
            ),
            models.CheckConstraint(
                condition=models.Q(holds__in=["results", "glazes", "bodies"]), name="import_kind_is_known"
            ),
        ]

    def __str__(self) -> str:
        return self.file_name


class ImportedRecord(models.Model):
    """A record that an import made or changed.

    key : marks the rows it came from, so that the same rows again make nothing twice
    stamp : the record's own when the import left it; a later one says that somebody changed it since
    before : the version in its history that an undo puts back, where it was changed
    """

    made_in = models.ForeignKey(SpreadsheetImport, models.CASCADE, related_name="records")
    model = models.CharField(max_length=40)
    record_id = models.BigIntegerField()
    key = models.CharField(max_length=32, blank=True)
    stamp = models.PositiveIntegerField(default=1)
    before = models.BigIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        indexes = [
            models.Index(fields=["key"], name="imported_by_key", condition=~models.Q(key="")),
            models.Index(fields=["made_in", "model", "record_id"], name="imported_by_import"),
        ]

    def __str__(self) -> str:
        return f"{self.model} {self.record_id}"
