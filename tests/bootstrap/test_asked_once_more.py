"""A test with a browser that gave up waiting is run once more; any other, and any other failure, is not."""

from pathlib import Path

import pytest

pytest_plugins = ["pytester"]

TOP = Path(__file__).parents[2]

CONFTEST = """
import pytest
from tests.once_more import once_more

def pytest_itemcollected(item):
    once_more(item)

@pytest.fixture(scope="session")
def playwright():
    pass
"""

TESTS = """
from playwright.sync_api import TimeoutError

tries = []

def fail(name, error, most=9):
    tries.append(name)
    if tries.count(name) <= most:
        raise error

def test_slow_click(playwright):
    fail("click", TimeoutError("Locator.click: Timeout 60000ms exceeded."), 1)

def test_slow_answer(playwright):
    fail("answer", AssertionError("Locator expected to be visible"), 1)

def test_never(playwright):
    fail("never", TimeoutError("Locator.click: Timeout 60000ms exceeded."))

def test_wrong(playwright):
    fail("wrong", AssertionError("assert 1 == 2"), 1)

def test_without_a_browser():
    fail("without", TimeoutError("no answer"), 1)
"""


@pytest.mark.parametrize("processes", ["0", "2"])
def test_only_a_browser_that_gave_up(pytester: pytest.Pytester, processes: str) -> None:
    pytester.makeini(f"[pytest]\npythonpath = {TOP}")
    pytester.makeconftest(CONFTEST)
    pytester.makepyfile(TESTS)
    options = ("-p", "no:django", "-p", "no:cacheprovider", "-n", processes, "--rerun-show-tracebacks")
    ended = pytester.runpytest_subprocess(*options)
    ended.assert_outcomes(passed=2, failed=3)
    told = ended.stdout.str()
    assert "3 rerun" in told
    first_tries = told[told.index("rerun test summary info") : told.index("short test summary info")]
    assert first_tries.count("Locator.click: Timeout 60000ms exceeded.") >= 2, "the first failure is told"
    assert "Locator expected to be visible" in first_tries
