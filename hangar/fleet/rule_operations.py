"""Every write on the club's rules. The secretary sets them."""

from typing import Any

from django.utils import timezone

from hangar.members.models import Member
from hangar.members.policy import guard

from .errors import FleetError
from .rules import ClubRules, MassBand, club_rules

RULES = ("first_flight", "after_rebuild", "mark", "mark_seen", "mass_weighed")


def set_club_rules(*, user: Member, **rules: Any) -> ClubRules:
    """What the club asks of every model; a rule that is left out stays as it is."""
    guard(user, "set_club_rules")
    if unknown := rules.keys() - set(RULES):
        raise FleetError(f"There is no rule {', '.join(sorted(unknown))}; give {', '.join(RULES)}.")
    found = club_rules()
    for name, value in rules.items():
        setattr(found, name, value)
    found.changed_at, found.changed_by = timezone.now(), user
    found.full_clean()
    found.save()
    return found


def add_mass_band(*, user: Member, **fields: Any) -> MassBand:
    """A mass from which the club asks something. Raises django's ValidationError by field."""
    return _save_band(user, MassBand(), fields)


def change_mass_band(*, user: Member, band: MassBand, **fields: Any) -> MassBand:
    return _save_band(user, band, fields)


def _save_band(user: Member, band: MassBand, fields: dict[str, Any]) -> MassBand:
    guard(user, "set_club_rules")
    if unknown := fields.keys() - {"label", "from_g", "asks", "weight"}:
        raise FleetError(f"{', '.join(sorted(unknown))} cannot be set here; give label, from_g, asks, weight.")
    for name, value in fields.items():
        setattr(band, name, value)
    band.full_clean()
    band.save()
    return band


def remove_mass_band(*, user: Member, band: MassBand) -> None:
    """A band is a rule, nothing that happened: it goes for good."""
    guard(user, "set_club_rules")
    band.delete()
