"""The examples in the docstrings of the site's computing parts do what they say; `setup` in them is the example."""

import doctest
from importlib import import_module
from pathlib import Path

import pytest

import hangar
from hangar.languages.speaking import speaking
from tests.mixing.example import example

TOP = Path(hangar.__path__[0])
MODULES = sorted(
    ".".join(path.relative_to(TOP.parent).with_suffix("").parts)
    for path in TOP.rglob("*.py")
    if ">>> " in path.read_text(encoding="utf-8")
)


@pytest.mark.parametrize("name", MODULES)
def test_examples_do_what_they_say(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    examples = doctest.DocTestFinder().find(import_module(name), name, extraglobs={"setup": example()})
    with speaking("en"):
        failed = [test.name for test in examples if doctest.DocTestRunner().run(test).failed]
    assert not failed, capsys.readouterr().out
