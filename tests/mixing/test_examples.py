"""The examples in the docstrings of the computation do what they say; `setup` in them is the example setup."""

import doctest
import inspect
from importlib import import_module
from pkgutil import walk_packages

import pytest

import mixing
from mixing import calibrate, solve, trim
from mixing.bought import as_bought
from mixing.forces import forces
from mixing.merge import got_worse

from .example import example

MODULES = ["mixing", *(module.name for module in walk_packages(mixing.__path__, "mixing."))]
METHODS = {
    mixing.FourBar: ("deflection", "servo_angle", "reach"),
    mixing.Response: ("from_ends", "one_sided", "differential", "slope_and_middle", "with_expo", "__call__"),
    mixing.Setup: ("from_text", "text", "digest", "changed"),
    mixing.Rig: ("at",),
}
"""What the public classes do."""

FUNCTIONS = [
    *(getattr(mixing, name) for name in mixing.__all__),
    *(getattr(solve, name) for name in solve.__all__),
    *(getattr(trim, name) for name in trim.__all__),
    calibrate.linkage, calibrate.compensation, calibrate.compensated, got_worse, as_bought, forces,
]  # fmt: skip
"""What DEVELOPERS.md calls the public functions, and their like."""


def examples(name: str) -> list[doctest.DocTest]:
    module = import_module(name)
    found = doctest.DocTestFinder().find(module, name, extraglobs={"setup": example()})
    return [test for test in found if test.examples]


@pytest.mark.parametrize("name", [name for name in MODULES if examples(name)])
def test_examples_do_what_they_say(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    for test in examples(name):
        result = doctest.DocTestRunner().run(test)
        assert result.failed == 0, capsys.readouterr().out


def test_every_public_function_shows_how_it_is_called() -> None:
    shown = {test.name for name in MODULES for test in examples(name)}
    functions = {f"{one.__module__}.{one.__name__}" for one in FUNCTIONS if inspect.isfunction(one)}
    methods = {f"{one.__module__}.{one.__name__}.{name}" for one, names in METHODS.items() for name in names}
    assert functions | methods <= shown, sorted((functions | methods) - shown)
