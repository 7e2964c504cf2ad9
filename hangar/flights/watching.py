"""What happens to an airframe anywhere on the site, and so makes its row of the line-up stale.

The packages below this one cannot know of the line-up: their rows are watched as they are saved.
"""

from collections.abc import Callable, Collection
from typing import Any

from django.db.models.signals import post_delete, post_save

from hangar.fleet.models import Airframe, Binding, Check, ClubRules, Fitting, MarkSeen, MassBand, Receiver
from hangar.setups.models import Entered, Revision

from . import glances, operations
from .models import BalanceCheck, Flight, Grounding, ThrowCheck, Work


def _own(row: Any) -> Collection[int]:
    return (row.airframe_id,)


def _of_revision(row: Any) -> Collection[int]:
    return (row.revision.airframe_id,)


def _of_receiver(receiver: int) -> Collection[int]:
    return tuple(Fitting.objects.filter(receiver=receiver, until=None).values_list("airframe", flat=True))


TOUCHED: dict[Any, Callable[[Any], Collection[int]]] = {
    Fitting: _own, MarkSeen: _own, Revision: _own, Grounding: _own, Work: _own,
    Entered: _of_revision, Flight: _of_revision, ThrowCheck: _of_revision, BalanceCheck: _of_revision,
    # By its name: what was printed is kept by the sheets' own package, beside this one.
    "sheets.Print": _of_revision,
    Check: lambda row: (row.fitting.airframe_id,),
    Binding: lambda row: _of_receiver(row.receiver_id),
    Receiver: lambda row: _of_receiver(row.pk),
}  # fmt: skip


def watch() -> None:
    for sender, airframes in TOUCHED.items():
        post_save.connect(_toucher(airframes), sender=sender, weak=False)
    post_save.connect(_airframe_saved, sender=Airframe)
    post_save.connect(_rules_saved, sender=ClubRules)
    for event in (post_save, post_delete):
        event.connect(_bands_changed, sender=MassBand)


def _toucher(airframes: Callable[[Any], Collection[int]]) -> Callable[..., None]:
    def touched(instance: Any, **kwargs: Any) -> None:
        glances.touch(airframes(instance))

    return touched


def _airframe_saved(instance: Airframe, created: bool, raw: bool, **kwargs: Any) -> None:
    if created:
        glances.add(instance.pk)
        if not raw:
            operations.ground_before_first_flight(instance)
    glances.touch([instance.pk])


def _rules_saved(instance: ClubRules, raw: bool, **kwargs: Any) -> None:
    if not raw:
        operations.follow_club_rules(instance)
    glances.touch_all()


def _bands_changed(**kwargs: Any) -> None:
    glances.touch_all()
