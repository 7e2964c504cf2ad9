"""The site with one more page, which takes its time."""

from hangar.settings import *  # noqa: F403

ROOT_URLCONF = "tests.hangar.slow_urls"
