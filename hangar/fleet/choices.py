"""Choosing an airframe, a transmitter or a receiver, by name where there are many."""

import re
from typing import Any

from django import forms
from django.db.models import Q, QuerySet

from hangar.choosing import OFFERED, Naming, offer
from hangar.folding import search_words
from hangar.members.models import Member, PersonalName

from .models import Airframe, Binding, Fitting, Receiver, ReceiverStatus, Transmitter

_FEW_OWNERS = 100
_SLUG = re.compile(r"\(([\w-]+)\)\Z")


def _exactly(airframes: QuerySet[Airframe], typed: str) -> Any:
    slug = _SLUG.search(typed.strip())
    return airframes.filter(slug=slug[1]) if slug else airframes.filter(name=typed)


def find_airframes(airframes: QuerySet[Airframe], typed: str) -> QuerySet[Airframe]:
    """Those of which each word that was typed is in the name, the mark or the owner's name."""
    for word in search_words(typed):
        theirs = PersonalName.objects.filter(searched__contains=word).values("member")
        # A few owners are named one by one: PostgreSQL then looks them and the word up, and reads no other row.
        few = list(theirs.values_list("member", flat=True)[: _FEW_OWNERS + 1])
        by_owner = Q(owner__in=theirs if len(few) > _FEW_OWNERS else few)
        airframes = airframes.filter(Q(searched__contains=word) | by_owner)
    return airframes


AIRFRAMES = Naming(lambda one: f"{one.name} ({one.slug})", _exactly, find_airframes)
LABELS = Naming(
    str, lambda rows, typed: rows.filter(label=typed), lambda rows, typed: rows.filter(label__icontains=typed)
)


def offer_transmitters(form: forms.BaseForm, user: Member, airframe: Airframe) -> None:
    """Likely are those of this member and of the owner, and to which the airframe's receiver was bound."""
    sits = Fitting.objects.filter(airframe=airframe, until=None).values("receiver")
    bound = Binding.objects.filter(receiver__in=sits).values("transmitter")
    likely = Transmitter.objects.filter(Q(owner__in=[user.pk, airframe.owner_id]) | Q(pk__in=bound))
    every = Transmitter.objects.visible_to(user)
    offer(form, "transmitter", every=every, likely=likely[:OFFERED], naming=LABELS)


def offer_receivers(form: forms.BaseForm, every: QuerySet[Receiver], fitted: Receiver | None) -> None:
    """Likely are the one that sits there now, and spares."""
    spare = every.filter(status=ReceiverStatus.SPARE)[:OFFERED]
    likely = [*([fitted] if fitted is not None else ()), *spare]
    offer(form, "receiver", every=every, likely=likely, naming=LABELS)
