"""The examples in the docstrings of the computation do what they say; `setup` in them is the example setup."""

import doctest
from importlib import import_module
from pkgutil import walk_packages

import pytest

import mixing

from .example import example

MODULES = ["mixing", *(module.name for module in walk_packages(mixing.__path__, "mixing."))]
SHOWN = {
    "mixing.envelope.envelope", "mixing.authority.authority", "mixing.audit.audit", "mixing.compare.compare",
    "mixing.merge.merge", "mixing.rig.Rig", "mixing.linkage.FourBar", "mixing.linkage.Measured",
    "mixing.response.Response", "mixing.throws.throw_mm", "mixing.throws.deflection_deg",
    "mixing.transplant.transplant", "mixing.transplant.mirror", "mixing.calibrate.linkage",
    "mixing.calibrate.compensation", "mixing.solve.travel.travel_for", "mixing.solve.along.response_for",
    "mixing.solve.dial_in.dial_in", "mixing.solve.curve.best_curve", "mixing.solve.arms.arm_and_horn",
}  # fmt: skip
"""What DEVELOPERS.md calls the public functions."""


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
    assert {test.name for name in MODULES for test in examples(name)} >= SHOWN
