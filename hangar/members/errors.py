"""What can go wrong with members and what they may do. The text says what was given and what to give instead."""

from django.core.exceptions import PermissionDenied


class NotAllowed(PermissionDenied):
    """The member is known, but may not do this."""


class MemberError(ValueError):
    """Something about a member cannot be as it was given."""


class InvitationError(ValueError):
    """This invitation cannot be used (again)."""
