"""Every write on the fleet. Each takes the member who does it; the fields are those of the models."""

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction
from django.db.models import Q
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.text import slugify
from django.utils.translation import gettext as _
from pydantic import ValidationError as PydanticValidationError

from hangar.members.errors import NotAllowed
from hangar.members.models import Member
from hangar.members.policy import can, edits_everything, guard
from mixing import Setup
from mixing.audit import RULES
from mixing.document import Signal
from mixing.findings.finding import Examined
from mixing.reading import problems_of

from .errors import FleetError
from .lookups import current_fitting, disposes_of
from .models import (
    SIGNAL_FIGURES,
    SIGNS,
    Airframe,
    Binding,
    Check,
    CheckKind,
    Fitting,
    MarkSeen,
    Receiver,
    ReceiverStatus,
    Status,
    Transmitter,
)
from .withdrawing import mark_withdrawn

AIRFRAME_FIELDS = frozenset({"name", "span_mm", "wing_area_dm2", "mark", "mark_place", "status"})
TRANSMITTER_FIELDS = frozenset({"label", "stick_mode", *SIGNAL_FIGURES})
RECEIVER_FIELDS = frozenset({"label", "channels", "status", "note"})

M = TypeVar("M", bound=models.Model)


def _set(row: models.Model, fields: dict[str, Any], allowed: frozenset[str]) -> None:
    """Set `fields` and validate the row; django's ValidationError names each field that is wrong."""
    if unknown := fields.keys() - allowed:
        raise FleetError(f"{', '.join(sorted(unknown))} cannot be set here; give {', '.join(sorted(allowed))}.")
    for name, value in fields.items():
        setattr(row, name, value)
    row.full_clean()


def _save_new(row: M) -> M:
    return _save(row, force_insert=True)


def _save(row: M, **how: Any) -> M:
    """Save a row that was validated."""
    try:
        with transaction.atomic():
            row.save(**how)
    except IntegrityError:
        # Two members may give one label at once: neither saw the other's when it was validated. Now it is seen.
        row.full_clean()
        raise
    return row


def _set_transmitter(transmitter: Transmitter, fields: dict[str, Any]) -> None:
    """As `_set`, and the figures must be such that a setup document can carry them."""
    _set(transmitter, fields, TRANSMITTER_FIELDS)
    try:
        Signal.model_validate(transmitter.signal_figures)
    except PydanticValidationError as error:
        said = {fault.path: _("This {fault}.").format(fault=fault.text) for fault in problems_of(error)}
        raise ValidationError(said) from error


def _free_slug(name: str) -> str:
    stem = slugify(name)[:50] or "airframe"
    # "airframes/new/" is the page for a new one.
    taken = {"new", *Airframe.objects.filter(slug__startswith=stem).values_list("slug", flat=True)}
    return next(slug for n in range(len(taken) + 1) if (slug := f"{stem}-{n + 1}" if n else stem) not in taken)


def add_airframe(*, user: Member, **fields: Any) -> Airframe:
    """A new airframe of the member's own."""
    guard(user, "add_airframe")
    try:
        return _add_airframe(user, fields)
    except IntegrityError:
        # Two members may add models of one name at once, and find the same address free. The second looks once more.
        return _add_airframe(user, fields)


def _add_airframe(user: Member, fields: dict[str, Any]) -> Airframe:
    with transaction.atomic():
        airframe = Airframe(owner=user, slug=_free_slug(str(fields.get("name", ""))))
        _set(airframe, fields, AIRFRAME_FIELDS)
        airframe.save(force_insert=True)
    return airframe


def change_airframe(*, user: Member, airframe: Airframe, **fields: Any) -> Airframe:
    guard(user, "edit", airframe)
    if fields.get("status") == Status.GONE != airframe.status:
        text = _("Say on the page about leaving that {airframe} is gone: its receiver is taken out with it.")
        raise FleetError(text.format(airframe=airframe))
    _set(airframe, fields, AIRFRAME_FIELDS)
    airframe.save(update_fields=fields.keys())
    return airframe


def change_people(*, user: Member, airframe: Airframe, owner: Member, helpers: Iterable[Member]) -> Airframe:
    """Who owns the airframe and who may edit it beside the owner. A helper cannot name further helpers."""
    if not disposes_of(user, airframe):
        text = _("Only the owner of {airframe}, or an instructor, names its owner and helpers.")
        raise NotAllowed(text.format(airframe=airframe))
    guard(user, "edit", airframe)
    if not owner.is_active:
        told = _("{owner} has left; give an active member as the owner.").format(owner=owner)
        raise ValidationError({"owner": told})
    with transaction.atomic():
        airframe.owner = owner
        airframe.save(update_fields=["owner"])
        airframe.helpers.set([helper for helper in helpers if helper.pk != owner.pk])
    return airframe


def add_transmitter(*, user: Member, owner: Member | None, **fields: Any) -> Transmitter:
    """A new transmitter, the member's own; an instructor adds one for anyone, or the club's with no owner."""
    if not edits_everything(user) and (owner is None or owner.pk != user.pk):
        raise NotAllowed(_("You may add your own transmitter only; for the club's, ask an instructor."))
    guard(user, "add_airframe")
    transmitter = Transmitter(owner=owner)
    _set_transmitter(transmitter, fields)
    return _save_new(transmitter)


def change_transmitter(*, user: Member, transmitter: Transmitter, **fields: Any) -> Transmitter:
    guard(user, "edit", transmitter)
    _set_transmitter(transmitter, fields)
    return _save(transmitter, update_fields=fields.keys())


def prove_signs(
    *,
    user: Member,
    transmitter: Transmitter,
    lever_forward: str,
    expo_positive: str,
    centre_unit: str,
    reversal: str,
    on: date | None = None,
) -> Transmitter:
    """What the five-minute test of the transmitter showed. A sign still "unproven" leaves the whole unproven."""
    guard(user, "edit", transmitter)
    fields = {
        "lever_forward": lever_forward,
        "expo_positive": expo_positive,
        "centre_unit": centre_unit,
        "reversal": reversal,
    }
    _set(transmitter, fields, frozenset(SIGNS))
    transmitter.proven_on, transmitter.proven_by = on or timezone.localdate(), user
    transmitter.save(update_fields=[*SIGNS, "proven_on", "proven_by"])
    return transmitter


def add_receiver(*, user: Member, **fields: Any) -> Receiver:
    guard(user, "manage_receivers")
    receiver = Receiver()
    _set(receiver, fields, RECEIVER_FIELDS)
    return _save_new(receiver)


def change_receiver(*, user: Member, receiver: Receiver, **fields: Any) -> Receiver:
    """Raises django's ValidationError by field. One that sits in an airframe is in use: it is taken out there."""
    guard(user, "manage_receivers")
    _set(receiver, fields, RECEIVER_FIELDS)
    with transaction.atomic():
        # Somebody may put it in while this form is open.
        Receiver.objects.select_for_update().get(pk=receiver.pk)
        sits = Fitting.objects.filter(receiver=receiver, until=None).select_related("airframe").first()
        if sits is not None and fields.get("status", ReceiverStatus.IN_USE) != ReceiverStatus.IN_USE:
            text = _("{receiver} sits in {airframe}: take it out there first.")
            raise ValidationError({"status": text.format(receiver=receiver, airframe=sits.airframe)})
        return _save(receiver, update_fields=fields.keys())


def fit(*, user: Member, receiver: Receiver, airframe: Airframe, at: datetime | None = None) -> Fitting:
    """Put a receiver into an airframe. Taking it out of where it sat, and what sat here out, is part of it.

    One with too few channels for the setup is refused, as the audit would say.
    """
    guard(user, "edit", airframe)
    at = at or timezone.now()
    with transaction.atomic():
        receiver, here = _lock_moves(airframe, receiver)
        if receiver.status == ReceiverStatus.RETIRED:
            raise FleetError(_("{receiver} is retired; fit one that is in use or spare.").format(receiver=receiver))
        _guard_channels(receiver, airframe)
        if here is not None and here.receiver_id == receiver.pk:
            return here
        elsewhere = Fitting.objects.filter(receiver=receiver, until=None).select_related("airframe").first()
        if elsewhere is not None and not can(user, "manage_receivers"):
            guard(user, "edit", elsewhere.airframe)
        for ending in (here, elsewhere):
            if ending is not None:
                _end(ending, at)
        Receiver.objects.filter(pk=receiver.pk).update(status=ReceiverStatus.IN_USE)
        return Fitting.objects.create(receiver=receiver, airframe=airframe, since=at, by=user)


def _lock_moves(airframe: Airframe, receiver: Receiver) -> tuple[Receiver, Fitting | None]:
    """The receiver as it is now, and what sits in the airframe; neither is moved by anybody else meanwhile."""
    # Two members may move one receiver, or fill one airframe, at once. First the airframe, so that nothing comes into
    # it; then the receivers, in one order for all, so that nobody waits for who waits for them.
    Airframe.objects.select_for_update().get(pk=airframe.pk)
    here = current_fitting(airframe)
    keys = {receiver.pk, here.receiver_id} if here is not None else {receiver.pk}
    locked = {one.pk: one for one in Receiver.objects.select_for_update().filter(pk__in=keys).order_by("pk")}
    # What sat here may have been moved away while we waited.
    return locked[receiver.pk], current_fitting(airframe)


def _guard_channels(receiver: Receiver, airframe: Airframe) -> None:
    # By the names of the relations: setups are kept by the package above this one.
    newest = Airframe.objects.filter(pk=airframe.pk).order_by("-revisions__number")
    text = newest.values_list("revisions__document__text", flat=True).first()
    if text is None:
        return
    examined = Examined(Setup.from_text(text), receiver.channels)
    if missing := [finding.text for finding in RULES["too-few-channels"](examined)]:
        text = _("{receiver} cannot go into {airframe}. {why} Fit one with more channels.")
        raise FleetError(text.format(receiver=receiver, airframe=airframe, why=" ".join(missing)))


def take_out(*, user: Member, airframe: Airframe, at: datetime | None = None) -> Fitting | None:
    """Take the receiver out of an airframe; it becomes a spare."""
    guard(user, "edit", airframe)
    with transaction.atomic():
        here = current_fitting(airframe)
        if here is not None:
            _receiver, here = _lock_moves(airframe, here.receiver)
        if here is not None:
            _end(here, at or timezone.now())
    return here


def _end(fitting: Fitting, at: datetime) -> None:
    if at < fitting.since:
        since = date_format(timezone.localtime(fitting.since), "DATETIME_FORMAT")
        text = _("{receiver} was put into {airframe} at {since}, later.")
        raise FleetError(text.format(receiver=fitting.receiver, airframe=fitting.airframe, since=since))
    fitting.until = at
    fitting.save(update_fields=["until"])
    Receiver.objects.filter(pk=fitting.receiver_id).update(status=ReceiverStatus.SPARE)


def bind(*, user: Member, airframe: Airframe, transmitter: Transmitter, at: datetime | None = None) -> Binding:
    """The receiver in the airframe was bound to a transmitter."""
    guard(user, "edit", airframe)
    here = _fitted(airframe)
    return Binding.objects.create(receiver=here.receiver, transmitter=transmitter, at=at or timezone.now(), by=user)


def record_check(
    *,
    user: Member,
    airframe: Airframe,
    kind: str,
    transmitter: Transmitter,
    failsafe_digest: str,
    passed: bool,
    note: str = "",
    at: datetime | None = None,
) -> Check:
    """A failsafe or range check was made at the model, with the receiver that sits in it now."""
    guard(user, "edit", airframe)
    if kind not in CheckKind.values:
        text = _("There is no check “{kind}”; give one of {kinds}.")
        raise FleetError(text.format(kind=kind, kinds=", ".join(CheckKind.values)))
    check = Check(
        kind=kind,
        fitting=_fitted(airframe),
        transmitter=transmitter,
        failsafe_digest=failsafe_digest,
        passed=passed,
        note=note.strip(),
        at=at or timezone.now(),
        by=user,
    )
    check.full_clean()
    check.save(force_insert=True)
    return check


def _fitted(airframe: Airframe) -> Fitting:
    here = current_fitting(airframe)
    if here is None:
        raise FleetError(_("No receiver is recorded in {airframe}; fit one first.").format(airframe=airframe))
    return here


def see_mark(*, user: Member, airframe: Airframe, at: datetime | None = None) -> MarkSeen:
    """Someone looked: the mark of the record stands on the model."""
    guard(user, "edit", airframe)
    if not airframe.mark:
        text = _("No mark of {airframe} is recorded; give it among its facts first.")
        raise FleetError(text.format(airframe=airframe))
    return MarkSeen.objects.create(airframe=airframe, mark=airframe.mark, at=at or timezone.now(), by=user)


def leave_club(*, user: Member, airframe: Airframe, at: datetime | None = None) -> Airframe:
    """The airframe is sold or gone: its receiver becomes a spare, its history stays. Nothing says to whom it went."""
    if not disposes_of(user, airframe):
        text = _("Only the owner of {airframe}, or an instructor, says that it has left the club.")
        raise NotAllowed(text.format(airframe=airframe))
    guard(user, "edit", airframe)
    with transaction.atomic():
        take_out(user=user, airframe=airframe, at=at)
        airframe.status = Status.GONE
        airframe.save(update_fields=["status"])
    return airframe


def withdraw_check(*, user: Member, check: Check, reason: str, at: datetime | None = None) -> Check:
    """A check that was not made counts no longer: the one before it counts again, if it still holds."""
    return mark_withdrawn(user, check, reason, at)


def withdraw_binding(*, user: Member, binding: Binding, reason: str, at: datetime | None = None) -> Binding:
    return mark_withdrawn(user, binding, reason, at)


def withdraw_mark_seen(*, user: Member, seen: MarkSeen, reason: str, at: datetime | None = None) -> MarkSeen:
    return mark_withdrawn(user, seen, reason, at)


def withdraw_fitting(*, user: Member, fitting: Fitting, reason: str, at: datetime | None = None) -> Fitting:
    """A receiver was not moved after all: where nothing moved since, it and what sat there are back where they were."""
    with transaction.atomic():
        Receiver.objects.select_for_update().get(pk=fitting.receiver_id)
        was_open = fitting.until is None
        withdrawn = mark_withdrawn(user, fitting, reason, at)
        if was_open:
            Receiver.objects.filter(pk=fitting.receiver_id).update(status=ReceiverStatus.SPARE)
            ended_by_it = Fitting.objects.filter(until=fitting.since)
            for before in ended_by_it.filter(Q(receiver=fitting.receiver_id) | Q(airframe=fitting.airframe_id)):
                _reopen(before)
    return withdrawn


def _reopen(fitting: Fitting) -> None:
    sits_now = Fitting.objects.filter(until=None)
    if not sits_now.filter(Q(receiver=fitting.receiver_id) | Q(airframe=fitting.airframe_id)).exists():
        fitting.until = None
        fitting.save(update_fields=["until"])
        Receiver.objects.filter(pk=fitting.receiver_id).update(status=ReceiverStatus.IN_USE)
