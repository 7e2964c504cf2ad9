"""Where a page about a setup stands: the way to it from the line-up."""

from django.urls import reverse
from django.utils.translation import gettext as _

from hangar.fleet.crumbs import airframe_crumbs
from hangar.fleet.models import Airframe
from hangar.form_pages import Crumbs

__all__ = ["Crumbs", "airframe_crumbs", "edit_crumbs"]


def edit_crumbs(airframe: Airframe, *more: tuple[str, str]) -> Crumbs:
    """The same down to the draft's own page."""
    return airframe_crumbs(airframe, (_("Draft"), reverse("setups:draft", args=[airframe.slug])), *more)
