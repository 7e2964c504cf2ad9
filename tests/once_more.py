"""A browser that gave up waiting is asked once more.

Only a time limit, and only with a browser: what a test found wrong stays wrong, and what fails twice fails. The
first try is told at the end of the run, so that it does not go unseen: it is a fault of page or test, to be found.
"""

import pytest

GAVE_UP = ("^TimeoutError: ", "^AssertionError: (Locator|Page) expected ")


def uses_browser(item: pytest.Item) -> bool:
    return "playwright" in getattr(item, "fixturenames", ())


def once_more(item: pytest.Item) -> None:
    """Let this test be run once more, if it uses a browser and that gives up."""
    if uses_browser(item):
        item.add_marker(pytest.mark.flaky(reruns=1, only_rerun=list(GAVE_UP)))
