"""Where a page about an airframe stands: the way to it from the line-up."""

from django.urls import reverse
from django.utils.translation import gettext as _

from hangar.form_pages import Crumbs

from .models import Airframe


def airframe_crumbs(airframe: Airframe, *more: tuple[str, str]) -> Crumbs:
    """The line-up, the airframe, and what lies between it and the page."""
    return [*crumbs_to(airframe.slug, airframe.name), *more]


def crumbs_to(slug: str, name: str) -> Crumbs:
    """The same, where the row already holds a name that was refused."""
    return [(_("Line-up"), reverse("flights:line_up")), (name, reverse("flights:airframe", args=[slug]))]
