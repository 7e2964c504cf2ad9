"""Members: a login and a random author key for ever, a name for as long as its bearer wants it here."""

import hashlib
import secrets
import unicodedata
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any, ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager, PermissionsMixin
from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.db import models
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext, gettext_noop
from django.utils.translation import gettext_lazy as _

from hangar.folding import FoldedField, Searched
from hangar.languages.areas import LANGUAGES

from .device_words import told
from .errors import MemberError

FORMER = gettext_noop("former member")
SOON = timedelta(days=30)


def new_author_key() -> str:
    return secrets.token_hex(16)


def token_digest(token: str) -> str:
    """What is stored of an invitation's token: whoever reads the database cannot use it."""
    return hashlib.sha256(token.encode()).hexdigest()


class Role(models.TextChoices):
    PILOT = "pilot", _("pilot")
    INSTRUCTOR = "instructor", _("instructor")
    SECRETARY = "secretary", _("secretary")


class ThrowUnit(models.TextChoices):
    MM = "mm", _("lengths at the trailing edge")
    DEG = "deg", _("degrees of deflection")
    TRAVEL = "travel", _("per cent of travel")


class Paper(models.TextChoices):
    A4 = "a4", "A4"
    LETTER = "letter", "Letter"


class LengthUnit(models.TextChoices):
    MM = "mm", _("millimetres")
    INCH = "inch", _("inches")


class MemberManager(BaseUserManager["Member"]):
    def get_by_natural_key(self, username: str | None) -> "Member":
        return self.get(login=Member.normalize_username(username or ""))

    def create_user(self, login: str, password: str | None = None, *, full_name: str = "", **fields: Any) -> "Member":
        member = self.model(login=Member.normalize_username(login), **fields)
        member.set_password(password)
        member.save(using=self._db)
        PersonalName.objects.using(self._db).create(member=member, full_name=full_name.strip() or member.login)
        return member

    def create_superuser(self, login: str, password: str | None = None, **fields: Any) -> "Member":
        """A club's first secretary, made by `manage.py createsuperuser`."""
        return self.create_user(login, password, **{"role": Role.SECRETARY, "is_superuser": True, **fields})


class Member(AbstractBaseUser, PermissionsMixin):
    login = models.CharField(
        max_length=40,
        unique=True,
        validators=[
            RegexValidator(
                r"^[\w.\-]{2,40}\Z", _("Give a login of 2 to 40 letters, digits, dots, hyphens or underscores.")
            )
        ],
    )
    author_key = models.CharField(max_length=32, unique=True, default=new_author_key, editable=False)
    role = models.CharField(max_length=10, choices=Role.choices, default=Role.PILOT)
    is_active = models.BooleanField(default=True)
    joined_at = models.DateTimeField(default=timezone.now, editable=False)
    throw_unit = models.CharField("throws in", max_length=6, choices=ThrowUnit.choices, default=ThrowUnit.MM)
    paper = models.CharField(max_length=6, choices=Paper.choices, default=Paper.A4)
    language = models.CharField(max_length=8, blank=True, choices=list(LANGUAGES.items()))
    length_unit = models.CharField(max_length=4, choices=LengthUnit.choices, default=LengthUnit.MM)

    USERNAME_FIELD = "login"
    REQUIRED_FIELDS: ClassVar[list[str]] = []

    objects: ClassVar[MemberManager] = MemberManager()

    class Meta:
        ordering = ["login"]

    def __str__(self) -> str:
        return self.display_name

    @classmethod
    def from_db(cls, *args: Any, **kwargs: Any) -> "Member":
        member = super().from_db(*args, **kwargs)
        member._kept_author_key = member.__dict__.get("author_key")
        return member

    _kept_author_key: str | None = None

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self._kept_author_key not in (None, self.author_key):
            raise MemberError(f"The author key of {self.login} is sealed into revisions and never changes.")
        super().save(*args, **kwargs)
        self._kept_author_key = self.author_key

    def unique_error_message(self, model_class: type[models.Model], unique_check: Sequence[str]) -> ValidationError:
        """In our own words, where it is the login."""
        if tuple(unique_check) == ("login",):
            taken = gettext("The login “{login}” is taken; choose another.")
            return ValidationError(taken.format(login=self.login), code="unique")
        return super().unique_error_message(model_class, unique_check)

    @classmethod
    def normalize_username(cls, username: str) -> str:
        return unicodedata.normalize("NFKC", username).strip().casefold()

    @property
    def display_name(self) -> str:
        """The full name, or "former member" once it was erased."""
        try:
            return self.personal.full_name
        except PersonalName.DoesNotExist:
            return gettext(FORMER)

    def get_full_name(self) -> str:
        return self.display_name

    def get_short_name(self) -> str:
        return self.display_name


class PersonalName(Searched):
    """What says who a member is. This row can go at any time: nothing else names them."""

    member = models.OneToOneField(Member, on_delete=models.CASCADE, primary_key=True, related_name="personal")
    full_name = models.CharField(max_length=120)
    operator_number = models.CharField(max_length=40, blank=True)
    licence_expires_on = models.DateField(null=True, blank=True)
    email = models.EmailField("mail address", blank=True)
    searched = FoldedField(of=("full_name",))

    def __str__(self) -> str:
        return self.full_name

    def expiry_warning(self, today: date | None = None) -> str:
        """In words, where the operator number is no longer valid or will not be soon; else ""."""
        until = self.licence_expires_on
        if until is None or until - (today or timezone.localdate()) > SOON:
            return ""
        expired = until < (today or timezone.localdate())
        return (gettext("expired on {date}") if expired else gettext("expires on {date}")).format(date=_in_full(until))


def _in_full(day: date) -> str:
    """With the whole name of the month, as it stands in a sentence."""
    return date_format(day, gettext("j F Y"))


class InvitationQuerySet(models.QuerySet["Invitation"]):
    def open(self, now: datetime | None = None) -> "InvitationQuerySet":
        return self.filter(used_at=None, withdrawn_at=None, expires_at__gt=now or timezone.now())


class Invitation(models.Model):
    """A link, used once, with which someone joins, or a member sets a new password."""

    token_digest = models.CharField(max_length=64, unique=True, editable=False)
    member = models.ForeignKey(
        Member,
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="invitations",
        help_text="the member who gets a new password; nobody yet where someone joins",
    )
    full_name = models.CharField(max_length=120, blank=True)
    role = models.CharField(max_length=10, choices=Role.choices, default=Role.PILOT)
    invited_by = models.ForeignKey(
        Member,
        on_delete=models.PROTECT,
        null=True,
        related_name="+",
        help_text="nobody where it was asked for by mail or made at the terminal",
    )
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, editable=False)
    withdrawn_at = models.DateTimeField(null=True, editable=False)

    objects = InvitationQuerySet.as_manager()

    class Meta:
        ordering = ["-created_at", "-pk"]

    def __str__(self) -> str:
        return f"invitation for {self.full_name or self.member}"

    def is_open(self, now: datetime | None = None) -> bool:
        return self.used_at is None and self.withdrawn_at is None and self.expires_at > (now or timezone.now())


class Visit(models.Model):
    """A browser in which a member is signed in. What it is told to be is kept in a few words; no address is."""

    member = models.ForeignKey(Member, on_delete=models.CASCADE, related_name="visits")
    session_key = models.CharField(max_length=40, unique=True, editable=False)
    device = models.CharField(max_length=60)
    signed_in_at = models.DateTimeField(default=timezone.now)
    last_seen_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["-last_seen_at", "-pk"]

    def __str__(self) -> str:
        return told(self.device)
