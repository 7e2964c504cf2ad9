"""What goes with a club that moves: every table of this site, unless it is named here with the reason why not."""

from django.apps import apps
from django.db import models

LEFT_OUT = {
    "auth": "rights of Django's own, which this site does not use",
    "axes": "sign-ins that failed, with the addresses that they came from",
    "contenttypes": "made anew by `migrate`",
    "django_tasks_database": "what the printing process has to do",
    "sessions": "who is signed in on which machine",
    "keeping": "which backups this machine made",
    "flights.glance": "the rows of the line-up: worked out anew from the rest, so that no file can call a model ready",
    "members.invitation": "links that someone may still use",
    "setups.documentsummary": "what lists tell of a setup: worked out anew from it",
    "members.visit": "who is signed in on which machine",
    "members.member_groups": "rights of Django's own, which this site does not use",
    "members.member_user_permissions": "rights of Django's own, which this site does not use",
}
"""Tables, or whole apps, that are not exported."""

FIELDS_LEFT_OUT = {
    "members.member": {"password": "!", "last_login": None},
}
"""Fields that are not exported, and what stands there after an import. `!` is a password that opens nothing."""

TEXTS_APART = {"setups.document": "text"}
"""Tables of which each row has one text that is a file of its own: a setup document is JSON already."""


def is_left_out(model: type[models.Model]) -> bool:
    return model._meta.app_label in LEFT_OUT or model._meta.label_lower in LEFT_OUT


def exported_models() -> list[type[models.Model]]:
    """The tables of this site that move with the club, by name."""
    ours = (one for one in apps.get_models(include_auto_created=True) if one.__module__.startswith("hangar."))
    return sorted((one for one in ours if not is_left_out(one)), key=lambda one: one._meta.label_lower)


def exported_fields(model: type[models.Model]) -> list["models.Field[object, object]"]:
    apart = {*FIELDS_LEFT_OUT.get(model._meta.label_lower, ()), TEXTS_APART.get(model._meta.label_lower)}
    return [field for field in model._meta.concrete_fields if field.name not in apart]


def file_fields(model: type[models.Model]) -> list[models.FileField]:
    return [field for field in model._meta.concrete_fields if isinstance(field, models.FileField)]


def holds_anything() -> bool:
    """Whether somebody has written something here already."""
    return any(model._base_manager.exists() for model in exported_models())
