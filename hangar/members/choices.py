"""Choosing a member, by name where there are many."""

import re
from typing import Any

from django.db.models import QuerySet

from hangar.choosing import Naming
from hangar.folding import folded, search_words

from .models import Member

_LOGIN = re.compile(r"\(([^()]+)\)\Z")


def _exactly(members: QuerySet[Member], typed: str) -> Any:
    if login := _LOGIN.search(typed.strip()):
        return members.filter(login=Member.normalize_username(login[1]))
    return members.filter(personal__searched=folded(typed))


def named(members: QuerySet[Member], typed: str) -> Any:
    """Those whose name has every word that was typed."""
    for word in search_words(typed):
        members = members.filter(personal__searched__contains=word)
    return members


MEMBERS = Naming(lambda one: f"{one.display_name} ({one.login})", _exactly, named)
