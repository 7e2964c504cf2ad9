"""Links from where something is entered to where it is explained."""

from django import template
from django.forms import BoundField
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from hangar.help.topics import TOPICS, topic_of
from mixing.wording import lowered

register = template.Library()


@register.simple_tag
def what_is_this(topic: str) -> SafeString:
    """A small link to the explanation of a topic. It opens beside the form, so that nothing typed is left."""
    name = TOPICS[topic]
    return format_html(
        '<a class="what" href="{}#{}" target="help">{}<span class="visually-hidden"> {}</span></a>',
        reverse("help:help"), topic, _("What is this?"), _("{topic}, in a new tab").format(topic=name),
    )  # fmt: skip


@register.simple_tag
def help_of(field: BoundField) -> SafeString | str:
    """The same for a field of a form; nothing where the field speaks for itself."""
    topic = topic_of(type(field.form).__name__, field.name)
    return what_is_this(topic) if topic else ""


@register.simple_tag
def explained(*topics: str) -> SafeString:
    """A line of links to what a page is about, where no field of a form could carry them."""
    page = reverse("help:help")
    links = format_html_join(
        ", ", '<a href="{}#{}" target="help">{}</a>', ((page, topic, lowered(str(TOPICS[topic]))) for topic in topics)
    )
    return format_html('<p class="explained">{}: {}.</p>', _("Explained in the help"), links)
