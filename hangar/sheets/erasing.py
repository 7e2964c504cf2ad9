"""A member's name is erased: it goes from what is kept of printing as well."""

import re
import shutil
from typing import Any

from django.db import transaction
from django.utils.translation import gettext

from hangar.languages.speaking import speaking
from hangar.members.models import FORMER, PersonalName

from .models import Batch
from .stored import made

# A longer name stands cut off in the title of a batch.
_ENOUGH = 70


def forget(instance: PersonalName, **_: Any) -> None:
    """Many sheets at once may be called after the member whose models they were for; sheets that were made say who
    recorded them. The latter are made anew when they are asked for."""
    name = instance.full_name[:_ENOUGH]
    ends = r"(?!\w)" if name == instance.full_name else r".*"
    for batch in Batch.objects.filter(what__contains=name):
        with speaking(batch.language or "en"):
            batch.what = re.sub(rf"(?<!\w){re.escape(name)}{ends}", gettext(FORMER), batch.what)
        batch.save(update_fields=["what"])
    transaction.on_commit(_make_anew)


def _make_anew() -> None:
    shutil.rmtree(made(), ignore_errors=True)
