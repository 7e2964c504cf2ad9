"""Where a page about an airframe stands: the way to it from the line-up."""

from django.urls import reverse
from django.utils.translation import gettext as _

from hangar.fleet.models import Airframe

Crumbs = list[tuple[str, str]]


def airframe_crumbs(airframe: Airframe, *more: tuple[str, str]) -> Crumbs:
    """The line-up, the airframe, and what lies between it and the page."""
    return [
        (_("Line-up"), reverse("flights:line_up")),
        (airframe.name, reverse("flights:airframe", args=[airframe.slug])),
        *more,
    ]


def edit_crumbs(airframe: Airframe, *more: tuple[str, str]) -> Crumbs:
    """The same down to the draft's own page."""
    return airframe_crumbs(airframe, (_("Draft"), reverse("setups:draft", args=[airframe.slug])), *more)
