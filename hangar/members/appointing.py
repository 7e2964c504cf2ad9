"""What only whoever has the terminal may do: they have the database anyway. No member stands behind these writes."""

from django.db import transaction
from django.utils import timezone

from .errors import MemberError
from .models import Invitation, Member, Role
from .operations import NEW_PASSWORD_LASTS, make_link, new_password_link


def invite_secretary(full_name: str) -> tuple[Invitation, str]:
    """A link with which the first secretary, or one more, joins."""
    if not full_name.strip():
        raise MemberError("Give the full name of the person who becomes a secretary.")
    return make_link(None, timezone.now(), NEW_PASSWORD_LASTS, role=Role.SECRETARY, full_name=full_name.strip())


def appoint(login: str) -> tuple[Invitation, str]:
    """Make a member a secretary, also one who left, and a link with which they may set a new password."""
    with transaction.atomic():
        member = Member.objects.select_for_update().filter(login=Member.normalize_username(login)).first()
        if member is None:
            known = ", ".join(Member.objects.filter(is_active=True).values_list("login", flat=True)[:20])
            raise MemberError(f"There is no member {login!r}. Known: {known or 'nobody yet; give --name instead'}.")
        member.role, member.is_active = Role.SECRETARY, True
        member.save(update_fields=["role", "is_active"])
        return new_password_link(member, by=None)
