"""Settings of one of several hosts, each with a folder of its own: SQLite has no address that names the database."""

import os

from hangar.settings import *  # noqa: F403
from hangar.settings import DATABASES

if named := os.environ.get("TEST_SQLITE"):
    DATABASES["default"]["NAME"] = named
