"""What a page says where another page of the same member saved meanwhile."""

from typing import Any

from django.contrib import messages
from django.forms import BooleanField, ChoiceField, Field
from django.http import HttpRequest, QueryDict
from django.utils.translation import gettext as _

from .editing import Desk
from .part_forms import PartForm


def tell_joined(request: HttpRequest, desk: Desk) -> None:
    """Say what was kept along with what this page changed."""
    if desk.other:
        messages.info(request, joined_words(desk))


def joined_words(desk: Desk) -> str:
    """What another page changed and this one left alone, in a sentence."""
    told = _("Kept, together with what another page of yours changed meanwhile: {edit}.")
    return told.format(edit=desk.other)


def typed_over(form: PartForm, stored: PartForm | None) -> tuple[QueryDict, dict[str, str]]:
    """What to send in the place of `form`, and what to say at which box.

    Boxes that were not touched say what is stored; those that were stay as typed, and say so where that differs from
    what is stored and from what they showed. Boxes of `form.whole` count as one. Where nothing is stored any more, all
    stays as the page showed it.
    """
    assert isinstance(form.data, QueryDict), "only what a page sent was typed"
    sent = form.data.copy()
    if stored is None:
        return sent, {}
    shown, now = _texts(form), _texts(stored)
    names = list(dict.fromkeys([*form.fields, *stored.fields]))
    typed = {name for name in names if sent.get(name, "") != shown.get(name, "")}
    whole = {name for name in names if name.startswith(form.whole)} if form.whole else set()
    mine = typed | whole if typed & whole else typed
    for name in names:
        if name not in mine:
            sent[name] = now.get(name, "")
            if not now.get(name):
                del sent[name]
    apart = [
        name for name in names
        if name in mine and now.get(name, "") not in (shown.get(name, ""), sent.get(name, ""))
    ]  # fmt: skip
    return sent, {name: _told(stored.fields.get(name), now.get(name, "")) for name in apart}


def _told(field: Field | None, now: str) -> str:
    if not now or isinstance(field, BooleanField):
        return _("Another page of yours changed this meanwhile. Save again to put what you typed in its place.")
    if isinstance(field, ChoiceField):
        choices: Any = field.choices
        now = next((str(words) for value, words in choices if str(value) == now), now)
    told = _("Another page of yours made this {now} meanwhile. Save again to put what you typed in its place.")
    return told.format(now=now)


def _texts(form: PartForm) -> dict[str, str]:
    """What stands in each box before anyone types."""
    texts = {}
    for name, field in form.fields.items():
        first = form.get_initial_for_field(field, name)
        value = field.prepare_value(first)
        texts[name] = "on" if value is True else "" if value is None or value is False else str(value)
    return texts
