"""Loading the demo club: everything or nothing, and only once."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, time
from functools import partial
from typing import NamedTuple

from django.contrib.auth.hashers import make_password
from django.db import transaction

from hangar.fleet import operations as fleet
from hangar.fleet.models import Airframe, Receiver, Transmitter
from hangar.fleet.rule_operations import add_mass_band, set_club_rules
from hangar.flights.models import Flight
from hangar.members import operations as membership
from hangar.members.models import Member
from hangar.setups.models import Revision

from .club import Club, DemoMember, DemoTransmitter, History, first_setup, read_club, read_histories, read_history
from .errors import DemoError
from .events import Happening, Scene

People = Mapping[str, Member]


class Login(NamedTuple):
    """How to sign in to the demo. The password is public: it is for the demo only."""

    login: str
    password: str
    role: str
    name: str


@dataclass(frozen=True)
class DemoClub:
    """Who can sign in, and the slug of the airframe whose sheet is printed."""

    logins: tuple[Login, ...]
    showpiece: str


def load(*, say: Callable[[str], None]) -> DemoClub:
    """The demo club, loaded where it is not there yet. What was done is told to `say`, line by line.

    Raises DemoError where the hangar holds another club: its members must not get neighbours with public passwords.
    """
    club = read_club()
    # One transaction: a load that is interrupted leaves nothing behind, so a club is there whole or not at all.
    with transaction.atomic():
        if _is_loaded(read_history(club.showpiece)):
            say(f"The {club.name} is in its hangar already.")
        elif Member.objects.exists():
            raise DemoError(
                "This hangar holds data of its own, and the demo club would add logins whose passwords everyone knows. "
                "Give the demo a folder of its own in the environment variable HANGAR_DATA."
            )
        else:
            say(f"The {club.name} moves into its hangar.")
            _load(club, read_histories())
            say(
                f"It has {len(club.members)} members, {Airframe.objects.count()} airframes, "
                f"{Revision.objects.count()} revisions and {Flight.objects.count()} test flights, all invented."
            )
    return DemoClub(_logins(club), club.showpiece)


def _is_loaded(showpiece: History) -> bool:
    """Known by what nobody can change when trying the demo out: a slug, and the reason of a recorded revision."""
    return Revision.objects.filter(airframe__slug=showpiece.slug, number=1, reason=showpiece.first_reason).exists()


def _logins(club: Club) -> tuple[Login, ...]:
    """Those who can still sign in: in a demo, names may be erased and members let go."""
    active = set(Member.objects.filter(is_active=True).values_list("login", flat=True))
    return tuple(Login(one.login, club.password, one.role, one.name) for one in club.members if one.login in active)


def _load(club: Club, histories: tuple[History, ...]) -> None:
    people = _add_members(club)
    secretary = people[club.secretary.login]
    transmitters = {one.label: _add_transmitter(one, people, secretary) for one in club.transmitters}
    for one in club.receivers:
        channels = one.thought or one.channels
        fleet.add_receiver(user=secretary, label=one.label, channels=channels, note=one.note)
    happenings: list[tuple[Happening, Scene]] = []
    for history in histories:
        scene = _scene(history, people, transmitters)
        happenings += [(event, scene) for event in history.events]
    # A receiver moves from one airframe to another: all histories go forward together.
    for event, scene in sorted(happenings, key=lambda pair: pair[0].at):
        event.happen(scene)
    for one in club.receivers:
        now = {"status": "retired"} if one.retired else {"channels": one.channels} if one.thought else {}
        if now:
            fleet.change_receiver(user=secretary, receiver=Receiver.objects.get(label=one.label), **now)
    # After all that happened: a rule about first flights is for what has not flown.
    set_club_rules(user=secretary, **club.rules)
    for band in club.mass_bands:
        add_mass_band(user=secretary, **band.model_dump())
    for member in club.members:
        if member.left:
            membership.erase_name(user=secretary, member=people[member.login])


def _add_members(club: Club) -> dict[str, Member]:
    # One password for all, so one slow hash for all.
    hashed = make_password(club.password)
    return {one.login: _add_member(one, hashed) for one in club.members}


def _add_member(one: DemoMember, hashed: str) -> Member:
    joined_at = datetime.combine(one.joined_on, time(12), UTC)
    member = Member.objects.create_user(one.login, full_name=one.name, role=one.role, joined_at=joined_at)
    member.password = hashed
    member.save(update_fields=["password"])
    membership.set_preferences(user=member, throw_unit=one.throw_unit, paper=one.paper)
    membership.change_name(
        user=member, member=member, full_name=one.name, operator_number=one.operator_number,
        licence_expires_on=one.licence_expires_on,
    )  # fmt: skip
    return member


def _add_transmitter(one: DemoTransmitter, people: People, secretary: Member) -> Transmitter:
    owner = people[one.owner] if one.owner else None
    keeper = owner or secretary
    transmitter = fleet.add_transmitter(
        user=keeper, owner=owner, label=one.label, stick_mode=one.stick_mode, **one.figures
    )
    if one.signs:
        fleet.prove_signs(user=keeper, transmitter=transmitter, **one.signs.model_dump())
    return transmitter


def _scene(history: History, people: People, transmitters: Mapping[str, Transmitter]) -> Scene:
    owner = people[history.owner]
    airframe = fleet.add_airframe(user=owner, **history.fields)
    if airframe.slug != history.slug:
        raise DemoError(f"The demo's {history.name} would be {airframe.slug}; name its files so, not {history.slug}.")
    fleet.change_people(
        user=owner, airframe=airframe, owner=owner, helpers=[people[login] for login in history.helpers]
    )
    Airframe.objects.filter(pk=airframe.pk).update(added_at=history.events[0].at)
    return Scene(
        airframe=airframe,
        transmitter=transmitters[history.transmitter],
        model_memory=history.model_memory,
        member=lambda login: people[login or history.owner],
        first_setup=partial(first_setup, history.slug),
    )
