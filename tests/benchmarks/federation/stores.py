"""Two databases side by side, a small federation and a large one, which are kept between runs.

On SQLite two files in a folder; with DATABASE_URL two databases of that PostgreSQL server.
"""

import os
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

SMALL, LARGE = 100, 10_000
_connected: dict[int, Any] = {}


def start(folder: Path) -> None:
    """Django, with its data in `folder`."""
    os.environ["DJANGO_SETTINGS_MODULE"] = "hangar.settings"
    os.environ["HANGAR_DATA"] = str(folder)
    import django

    django.setup()


def use(airframes: int, folder: Path) -> None:
    """Turn to the federation of so many airframes. Its connection stays open when another one is turned to."""
    from django.db import connections

    wrapper = _connected.get(airframes)
    if wrapper is None:
        wrapper = _connected[airframes] = connections.create_connection("default")
        wrapper.settings_dict = {**wrapper.settings_dict, "NAME": _name(wrapper.vendor, airframes, folder)}
    connections["default"] = wrapper


def _name(vendor: str, airframes: int, folder: Path) -> str:
    return str(folder / f"federation-{airframes}.sqlite3") if vendor == "sqlite" else f"federation_{airframes}"


def fill(airframes: int, folder: Path, say: Callable[[str], None]) -> None:
    """Make the federation of so many airframes, unless it is there; then connect to it."""
    from django.core.management import call_command
    from django.db import connection

    from hangar.fleet.models import Airframe

    from .building import Size, build

    use(airframes, folder)
    _make_database()
    call_command("migrate", verbosity=0)
    if not Airframe.objects.exists():
        start = time.perf_counter()
        build(Size(airframes), say=say)
        if connection.vendor == "postgresql":
            # As the server does by itself after a while; SQLite is left as a site is that nobody tends.
            with connection.cursor() as cursor:
                cursor.execute("VACUUM ANALYZE")
        say(f"made in {time.perf_counter() - start:,.0f} s")


def bring_up_to_date(airframes: int, folder: Path) -> None:
    """A federation that was made before the last change of the code: its tables and rows as they are now. Where that
    change may tell an audit otherwise, it takes as long as ten thousand audits."""
    from django.core.management import call_command

    from hangar.flights import glances

    use(airframes, folder)
    call_command("migrate", verbosity=0)
    glances.refresh_all()


def _make_database() -> None:
    from django.db import connection

    if connection.vendor != "postgresql":
        return
    name = connection.settings_dict["NAME"]
    with connection._nodb_cursor() as cursor:
        cursor.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name])
        if cursor.fetchone() is None:
            cursor.execute(f"CREATE DATABASE {connection.ops.quote_name(name)} TEMPLATE template0 ENCODING 'UTF8'")
