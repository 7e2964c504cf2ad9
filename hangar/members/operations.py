"""Every write on members. Each takes the member who does it."""

import secrets
from datetime import date, datetime, timedelta

from axes.models import AccessAttempt, AccessFailureLog, AccessLog
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from .errors import InvitationError, MemberError, NotAllowed
from .models import Invitation, Member, PersonalName, Role, token_digest
from .policy import can, guard
from .visits import end_all

INVITATION_LASTS = timedelta(days=14)
NEW_PASSWORD_LASTS = timedelta(days=2)


PREFERENCES = {"throw_unit", "length_unit", "language", "paper"}


def invite(
    *, user: Member, full_name: str, role: str = Role.PILOT, now: datetime | None = None
) -> tuple[Invitation, str]:
    """An invitation to join and its token, which is shown this once: only its digest is kept."""
    guard(user, "manage_members")
    if not full_name.strip():
        raise MemberError(_("Give the full name of the person who is invited."))
    if role not in Role.values:
        raise MemberError(_no_such_role(role))
    return make_link(user, now or timezone.now(), INVITATION_LASTS, full_name=full_name.strip(), role=role)


def _no_such_role(role: str) -> str:
    return _("There is no role “{role}”; give one of {roles}.").format(role=role, roles=", ".join(Role.values))


def offer_new_password(*, user: Member, member: Member, now: datetime | None = None) -> tuple[Invitation, str]:
    """A link with which `member`, who forgot the password, sets a new one."""
    guard(user, "manage_members")
    return new_password_link(member, by=user, now=now)


def new_password_link(
    member: Member, *, by: Member | None, now: datetime | None = None, lasts: timedelta = NEW_PASSWORD_LASTS
) -> tuple[Invitation, str]:
    """As `offer_new_password`, also where nobody offers it: it goes to the member's own mail, or to the terminal."""
    if not member.is_active:
        raise MemberError(_("This member has left; let them back in first."))
    return make_link(by, now or timezone.now(), lasts, member=member, role=member.role)


def make_link(
    user: Member | None,
    now: datetime,
    lasts: timedelta,
    *,
    role: str,
    full_name: str = "",
    member: Member | None = None,
) -> tuple[Invitation, str]:
    token = secrets.token_urlsafe(24)
    invitation = Invitation.objects.create(
        token_digest=token_digest(token),
        member=member,
        full_name=full_name,
        role=role,
        invited_by=user,
        created_at=now,
        expires_at=now + lasts,
    )
    return invitation, token


def withdraw(*, user: Member, invitation: Invitation) -> None:
    guard(user, "manage_members")
    Invitation.objects.filter(pk=invitation.pk, used_at=None).update(withdrawn_at=timezone.now())


def open_invitation(token: str, now: datetime | None = None) -> Invitation:
    """The invitation behind a token that can still be used; InvitationError otherwise."""
    invitation = Invitation.objects.open(now).filter(token_digest=token_digest(token)).first()
    if invitation is None:
        raise InvitationError(_("This link was used, withdrawn or is too old. Ask a secretary for a new one."))
    return invitation


def accept(*, token: str, password: str, login: str = "", now: datetime | None = None) -> Member:
    """Use an invitation: join under `login`, or set the new password of the member it was made for.

    Raises django's ValidationError for the fields `login` and `password`, InvitationError for the link.
    """
    with transaction.atomic():
        # Two clicks on one link race: the row is locked, so the second finds it used; or gone, where the member's
        # name was erased meanwhile.
        invitation = Invitation.objects.select_for_update().filter(pk=open_invitation(token, now).pk).first()
        if invitation is None or not invitation.is_open(now):
            raise InvitationError(_("This link was used just now. Ask a secretary for a new one."))
        member = _with_password(invitation, login, password)
        # The name now stands in the erasable table alone.
        Invitation.objects.filter(pk=invitation.pk).update(used_at=now or timezone.now(), member=member, full_name="")
        _withdraw_links(member)
        end_all(member)
    return member


def _withdraw_links(member: Member) -> None:
    """Links for a new password that lie about somewhere: once the password is new they must not change it again."""
    Invitation.objects.open().filter(member=member).update(withdrawn_at=timezone.now())


def change_password(*, user: Member, password: str) -> Member:
    """A new password of one's own, after the old one was given. Raises ValidationError for the field `password`.

    Everywhere else the member is signed out with it.
    """
    _set_password(user, password)
    with transaction.atomic():
        user.save(update_fields=["password"])
        _withdraw_links(user)
    return user


def _set_password(member: Member, password: str) -> None:
    try:
        validate_password(password, member)
    except ValidationError as error:
        raise ValidationError({"password": [_in_our_words(one) for one in error.error_list]}) from error
    member.set_password(password)


def _in_our_words(refusal: ValidationError) -> ValidationError:
    # Django names the property of the member that it compared with.
    if refusal.code != "password_too_similar":
        return refusal
    return ValidationError(_("This password is too much like your name or login; choose another."), refusal.code)


def _with_password(invitation: Invitation, login: str, password: str) -> Member:
    member = invitation.member or Member(login=Member.normalize_username(login), role=invitation.role)
    if not invitation.member:
        # Not saved: the password is compared with it.
        PersonalName(member=member, full_name=invitation.full_name)
    _set_password(member, password)
    if invitation.member:
        if not member.is_active:
            raise InvitationError(_("You have left the club. Ask a secretary to let you back in."))
        member.save(update_fields=["password"])
        return member
    try:
        member.full_clean(exclude=["password"])
        with transaction.atomic():
            member.save()
    except IntegrityError as error:
        taken = _("The login “{login}” is taken; choose another.").format(login=member.login)
        raise ValidationError({"login": taken}) from error
    PersonalName.objects.create(member=member, full_name=invitation.full_name)
    return member


def change_role(*, user: Member, member: Member, role: str) -> Member:
    guard(user, "manage_members")
    if role not in Role.values:
        raise MemberError(_no_such_role(role))
    with transaction.atomic():
        if role != Role.SECRETARY:
            _keep_a_secretary(member)
        member.role = role
        member.save(update_fields=["role"])
    return member


def let_go(*, user: Member, member: Member) -> Member:
    """A member leaves: no more signing in. Airframes, revisions and the name stay."""
    guard(user, "manage_members")
    return _set_active(member, False)


def leave(*, user: Member) -> Member:
    """As `let_go`, by oneself."""
    return _set_active(user, False)


def let_back_in(*, user: Member, member: Member) -> Member:
    guard(user, "manage_members")
    if not member.has_usable_password() and not PersonalName.objects.filter(member=member).exists():
        raise MemberError(_("The name and login of this former member were erased; invite the person anew."))
    return _set_active(member, True)


def _set_active(member: Member, active: bool) -> Member:
    with transaction.atomic():
        if not active:
            _keep_a_secretary(member)
            _withdraw_links(member)
            end_all(member)
        member.is_active = active
        member.save(update_fields=["is_active"])
    return member


def _keep_a_secretary(member: Member) -> None:
    # Two secretaries may demote each other at once: the rows are locked while they are counted.
    secretaries = Member.objects.select_for_update().filter(role=Role.SECRETARY, is_active=True)
    if member.pk in {one.pk for one in secretaries} and len(secretaries) == 1:
        text = _("{member} is the only secretary; make another member one first.")
        raise MemberError(text.format(member=member.display_name))


def erase_name(*, user: Member, member: Member) -> Member:
    """Erase who a member was: name, login, password, and the log of signing in. Revisions keep the author key.

    A member may do this themself, a secretary for anyone. It cannot be undone.
    """
    if user.pk != member.pk and not can(user, "manage_members"):
        raise NotAllowed(_("You may erase your own name only; for another member's, ask a secretary."))
    with transaction.atomic():
        _keep_a_secretary(member)
        for log in (AccessAttempt, AccessFailureLog, AccessLog):
            log.objects.filter(username=member.login).delete()
        PersonalName.objects.filter(member=member).delete()
        Invitation.objects.filter(member=member).delete()
        end_all(member)
        member.login = f"former-{secrets.token_hex(8)}"
        member.is_active = False
        member.set_unusable_password()
        member.save()
    return Member.objects.get(pk=member.pk)


def change_name(
    *,
    user: Member,
    member: Member,
    full_name: str,
    operator_number: str = "",
    licence_expires_on: date | None = None,
    email: str | None = None,
) -> PersonalName:
    """Who a member is. Without `email` the mail address stays as it is."""
    if user.pk != member.pk and not can(user, "manage_members"):
        raise NotAllowed(_("You may change your own name only; for another member's, ask a secretary."))
    if not full_name.strip():
        raise MemberError(_("Give a full name; to take it away, erase it."))
    name, _made = PersonalName.objects.update_or_create(
        member=member,
        defaults={
            "full_name": full_name.strip(),
            "operator_number": operator_number.strip(),
            "licence_expires_on": licence_expires_on,
            **({} if email is None else {"email": email.strip()}),
        },
    )
    return name


def set_preferences(*, user: Member, **chosen: str) -> Member:
    """How this member reads and prints: `throw_unit`, `length_unit`, `language`, `paper`, of which any may be left out.

    Raises ValidationError by field.
    """
    unknown = chosen.keys() - PREFERENCES
    if unknown:
        raise TypeError(f"no preference: {', '.join(sorted(unknown))}")
    for name, value in chosen.items():
        setattr(user, name, value)
    user.clean_fields(exclude=[f.name for f in Member._meta.fields if f.name not in chosen])
    user.save(update_fields=chosen)
    return user
