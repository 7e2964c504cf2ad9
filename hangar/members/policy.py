"""Who may do what: one rule, shared by lists and checks.

For a thing with owners the rule is its QuerySet: `visible_to(user)` and `editable_by(user)`. For the club's affairs it
is the role. Roles build on each other: an instructor does whatever a pilot does, for every airframe; a secretary does
whatever an instructor does, and keeps members, receivers and invitations.
"""

from typing import TYPE_CHECKING, Any, Protocol, TypeGuard

from django.contrib.auth.models import AnonymousUser
from django.db.models import Model, QuerySet
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from .errors import NotAllowed

if TYPE_CHECKING:
    from .models import Member

PILOT, INSTRUCTOR, SECRETARY = "pilot", "instructor", "secretary"
EVERYONE = {PILOT, INSTRUCTOR, SECRETARY}

# What concerns the club as a whole -> who may do it, and the refusal.
CLUB_ACTIONS = {
    "manage_members": ({SECRETARY}, _("You may not manage members and invitations: ask a secretary.")),
    "manage_receivers": ({SECRETARY}, _("You may not manage the club's receivers: ask a secretary.")),
    "set_club_rules": ({SECRETARY}, _("You may not set the club's rules: ask the secretary.")),
    "release": ({INSTRUCTOR, SECRETARY}, _("You may not release a grounded model: ask an instructor or a secretary.")),
    "ground": (EVERYONE, _("You may not ground a model: sign in first.")),
    "add_airframe": (EVERYONE, _("You may not add an airframe: sign in first.")),
}
EDITS_EVERYTHING = frozenset({INSTRUCTOR, SECRETARY})


class Ruled(Protocol):
    """A manager whose QuerySet holds the rule for its rows."""

    def visible_to(self, user: "Member | AnonymousUser") -> QuerySet[Any]: ...

    def editable_by(self, user: "Member | AnonymousUser") -> QuerySet[Any]: ...


def signed_in(user: "Member | AnonymousUser") -> TypeGuard["Member"]:
    """Whether this is an active member: everyone signed in sees every setup."""
    return bool(user.is_authenticated and user.is_active)


def edits_everything(user: "Member | AnonymousUser") -> bool:
    return signed_in(user) and getattr(user, "role", None) in EDITS_EVERYTHING


def can(user: "Member | AnonymousUser", action: str, obj: Model | None = None) -> bool:
    """Whether `user` may do `action`: one of CLUB_ACTIONS, or "view" or "edit" with the row that it is about."""
    if not signed_in(user):
        return False
    if action in CLUB_ACTIONS:
        return getattr(user, "role", None) in CLUB_ACTIONS[action][0]
    if obj is None or action not in ("view", "edit"):
        raise ValueError(f"no rule for {action!r}; give one of {sorted(CLUB_ACTIONS)}, or view or edit with a row")
    rows: Ruled = type(obj)._default_manager  # type: ignore[assignment]
    allowed = rows.visible_to(user) if action == "view" else rows.editable_by(user)
    return allowed.filter(pk=obj.pk).exists()


def guard(user: "Member | AnonymousUser", action: str, obj: Model | None = None) -> None:
    """Refuse with NotAllowed, in words, unless `user` may do `action`."""
    if can(user, action, obj):
        return
    if action in CLUB_ACTIONS:
        raise NotAllowed(str(CLUB_ACTIONS[action][1]))
    views, edits = (
        gettext("You may not view {thing}: ask its owner, or an instructor."),
        gettext("You may not edit {thing}: ask its owner, or an instructor."),
    )
    raise NotAllowed((views if action == "view" else edits).format(thing=obj))
