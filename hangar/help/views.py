"""The page that explains."""

from functools import cache

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from hangar.fleet.forms import SignsForm
from hangar.fleet.models import SIGNS
from hangar.languages.speaking import way
from hangar.pictures.words import throw_words
from hangar.requests import SignedIn

from . import drawings
from .topics import TOPICS


@require_safe
def explained(request: SignedIn) -> HttpResponse:
    """Every topic on one page, so that it can be read through or printed."""
    ctx = {
        "topics": TOPICS, "y_lead": TOPICS["y-lead"], "drawn": _drawn(way()), "questions": questions(), "here": "help",
        "written": throw_words(-12, "aileron"), "more": throw_words(-10, "aileron"), "less": throw_words(5, "aileron"),
    }  # fmt: skip
    return render(request, "help/help.html", ctx)


@cache
def _drawn(_way: str) -> dict[str, str]:
    """The same drawings for everyone who reads in this language and unit."""
    return {drawing.__name__: drawing() for drawing in drawings.ALL}


def questions() -> dict[str, dict[str, object]]:
    """The five-minute test as the form of a transmitter asks it: by its name what to do, and the answers there are."""
    fields = SignsForm.base_fields
    return {
        name: {
            "do": str(fields[name].label),
            "help": str(fields[name].help_text),
            "answers": [str(words) for value, words in fields[name].choices if value != "unproven"],  # type: ignore[attr-defined]
        }
        for name in SIGNS
    }
