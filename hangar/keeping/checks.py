"""System checks: what a machine brings along that can cost data."""

import sqlite3
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Info, Warning, register
from django.db import connection
from django.utils.translation import gettext, gettext_noop

# A rare fault in resetting the write-ahead log could lose a commit when two connections meet in one moment.
_MENDED = (3, 51, 3)
_WORDS = gettext_noop(
    "SQLite {version} has a rare fault in its write-ahead log, which 3.51.3 mended: two processes that write at one "
    "moment can, very seldom, lose what one of them wrote."
)
_HINT = "Make a backup every day (manage.py backup), or use PostgreSQL (DATABASE_URL) or a newer SQLite."


def sqlite_fault() -> str:
    """In words, where this site runs on a SQLite with that fault; else ""."""
    if connection.vendor != "sqlite" or sqlite3.sqlite_version_info >= _MENDED:
        return ""
    return gettext(_WORDS).format(version=sqlite3.sqlite_version)


@register(deploy=True)
def check_sqlite(app_configs: Any, **_: Any) -> list[CheckMessage]:
    """For `manage.py check --deploy`. No more than information: most systems of today bring such a SQLite."""
    fault = sqlite_fault()
    return [Info(fault, hint=_HINT, id="keeping.I001")] if fault else []


_OTHERS = 0o077


@register(deploy=True)
def check_who_may_read(app_configs: Any, **_: Any) -> list[CheckMessage]:
    """The site makes its folder and the secret key for its own user alone; a copy of them may be open to others."""
    folder: Path = settings.HANGAR_DATA
    return [
        Warning(f"{path} may be read by other users of this machine.", hint=f"chmod go= {path}", id="keeping.W001")
        for path in (folder, folder / "secret_key")
        if path.exists() and path.stat().st_mode & _OTHERS
    ]


@register(deploy=True)
def check_letters(app_configs: Any, **_: Any) -> list[CheckMessage]:
    """Without an address of its own the site sends no letter: whoever asks for one could else choose where it leads."""
    if not settings.EMAIL_HOST or settings.HANGAR_BASE_URL:
        return []
    return [Warning("No links are sent by mail.", hint="Set HANGAR_BASE_URL, too.", id="keeping.W002")]
