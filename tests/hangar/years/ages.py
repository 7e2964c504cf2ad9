"""A database as an earlier site left it: brought to migrations that once were the newest, and filled there.

What is written in an age is written through the tables of that age, past every operation of today.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.apps import apps as apps_of_today
from django.contrib.contenttypes.models import ContentType
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.state import StateApps

FIRST_SPRING = {"members": "0001", "fleet": "0001", "setups": "0002", "flights": "0002", "sheets": "0001"}
"""Members, models, a history, flights, and sheets without a code."""

SECOND_YEAR = {
    "members": "0002", "fleet": "0003", "setups": "0004", "flights": "0005", "sheets": "0003", "keeping": "0001",
}  # fmt: skip
"""Photos, rules, withdrawing, kept rows of the line-up in English, one edit to take back, batches, backups."""

YESTERDAY = {
    "members": "0003", "fleet": "0003", "setups": "0006", "flights": "0007", "sheets": "0004", "keeping": "0001",
}  # fmt: skip
"""Languages and inches, every edit of a draft; nothing kept for searching yet."""

OURS = ("members", "fleet", "setups", "flights", "sheets", "keeping")
# The rows of the line-up are worked out anew, whatever they said.
WORKED_OUT = ("flights.glance",)

UNUSED = {"members.member_groups", "members.member_user_permissions"}
"""Tables that come with Django's accounts and in which nothing ever stands."""

Snapshot = dict[tuple[str, Any], dict[str, Any]]
Changes = dict[tuple[str, str], list[tuple[Any, Any]]]


@contextmanager
def empty_database(folder: Path, name: str = "old") -> Iterator[None]:
    """Inside, the site's own connection leads to an empty database of the kind on which the tests run."""
    usual = connection.settings_dict["NAME"]
    own = str(folder / f"{name}.sqlite3") if connection.vendor == "sqlite" else f"{usual}_{name}"
    if connection.vendor == "postgresql":
        with connection._nodb_cursor() as cursor:
            cursor.execute(f'CREATE DATABASE "{own}"')
    connection.close()
    connection.settings_dict["NAME"] = own
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict["NAME"] = usual
        ContentType.objects.clear_cache()
        if connection.vendor == "postgresql":
            with connection._nodb_cursor() as cursor:
                cursor.execute(f'DROP DATABASE "{own}" WITH (FORCE)')


def bring_to(age: dict[str, str]) -> StateApps:
    """Migrate to an age, and the tables as they were in it. What is not ours is as it is today."""
    executor = MigrationExecutor(connection)
    leaves = executor.loader.graph.leaf_nodes()
    targets = [leaf for leaf in leaves if leaf[0] not in OURS]
    for app, number in age.items():
        (found,) = (key for key in executor.loader.graph.nodes if key[0] == app and key[1].startswith(number))
        targets.append(found)
    executor.migrate(targets)
    return executor.loader.project_state(targets).apps


def snapshot(apps: Any) -> Snapshot:
    """Every row of ours, by table and key. Tables of pairs included."""
    return {
        (model._meta.label_lower, row[model._meta.pk.attname]): row
        for model in our_models(apps)
        if model._meta.label_lower not in WORKED_OUT
        for row in model._base_manager.values()
    }


def our_models(apps: Any = apps_of_today) -> list[Any]:
    return [one for one in apps.get_models(include_auto_created=True) if one._meta.app_label in OURS]


def empty_tables(apps: Any) -> set[str]:
    return {one._meta.label_lower for one in our_models(apps) if not one._base_manager.exists()}


def changed(before: Snapshot, now: Snapshot) -> Changes:
    """What became of the fields of old rows that are still there: those that say something else, then and now."""
    found: Changes = {}
    for key, row in before.items():
        for name, value in row.items():
            if name in now[key] and now[key][name] != value:
                found.setdefault((key[0], name), []).append((value, now[key][name]))
    return found
