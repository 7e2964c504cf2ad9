"""Triggers by which the database itself refuses to change or delete what was recorded.

A migration which alters one of these tables on SQLite builds the table anew, and its triggers go with the old one:
such a migration has to call `install` again at its end. The tests of immutability find out when it does not.
"""

from django.db.backends.base.base import BaseDatabaseWrapper

TABLES = {
    "setups_document": "digest = NEW.digest",
    "setups_revision": "id = NEW.id OR seal = NEW.seal OR (airframe_id = NEW.airframe_id AND number = NEW.number)",
}
"""The tables, and which row an INSERT into each would replace."""
REFUSAL = "What was recorded is never changed or deleted: record a new revision instead."
_FUNCTION = "setups_refuse_change"
# INSERT OR REPLACE deletes a row in SQLite without firing its DELETE trigger, so an INSERT over a row is refused too.
_EVENTS = {"sqlite": ("UPDATE", "DELETE", "INSERT"), "postgresql": ("UPDATE", "DELETE", "TRUNCATE")}


def _name(table: str, event: str) -> str:
    return f"{table}_no_{'replace' if event == 'INSERT' else event.lower()}"


def names(vendor: str) -> set[str]:
    """The names of the triggers which must be there."""
    return {_name(table, event) for table in TABLES for event in _EVENTS[vendor]}


def install(connection: BaseDatabaseWrapper) -> None:
    """Make the triggers, where they are missing."""
    remove(connection)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                f"CREATE FUNCTION {_FUNCTION}() RETURNS trigger LANGUAGE plpgsql AS "
                f"$$ BEGIN RAISE EXCEPTION '{REFUSAL}' USING ERRCODE = 'integrity_constraint_violation'; END $$"
            )
        for table in TABLES:
            for event in _EVENTS[connection.vendor]:
                cursor.execute(_create(connection.vendor, table, event))


def _create(vendor: str, table: str, event: str) -> str:
    head = f"CREATE TRIGGER {_name(table, event)} BEFORE {event} ON {table}"
    if vendor == "sqlite":
        when = f"WHEN EXISTS (SELECT 1 FROM {table} WHERE {TABLES[table]}) " if event == "INSERT" else ""
        return f"{head} {when}BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
    each = "STATEMENT" if event == "TRUNCATE" else "ROW"
    return f"{head} FOR EACH {each} EXECUTE FUNCTION {_FUNCTION}()"


def remove(connection: BaseDatabaseWrapper) -> None:
    """Take the triggers away: for undoing the migration, and for emptying a test database."""
    with connection.cursor() as cursor:
        for table in TABLES:
            for event in _EVENTS[connection.vendor]:
                on = f" ON {table}" if connection.vendor == "postgresql" else ""
                cursor.execute(f"DROP TRIGGER IF EXISTS {_name(table, event)}{on}")
        if connection.vendor == "postgresql":
            cursor.execute(f"DROP FUNCTION IF EXISTS {_FUNCTION}()")


def missing(connection: BaseDatabaseWrapper) -> set[str]:
    """The names of the triggers which should be in the database and are not."""
    query = {
        "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
        "postgresql": "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'",
    }[connection.vendor]
    with connection.cursor() as cursor:
        cursor.execute(query)
        return names(connection.vendor) - {name for (name,) in cursor.fetchall()}
