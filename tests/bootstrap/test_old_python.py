"""manage.py under a Python that is too old: one line, whatever that Python can read."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).resolve().parents[2]
_PRETEND = "import runpy, sys; sys.version_info = {version}; runpy.run_path({path!r}, run_name='__main__')"
# What Python 2.7 cannot read and manage.py could be tempted by.
_TOO_NEW = (ast.JoinedStr, ast.AnnAssign, ast.NamedExpr, ast.AsyncFunctionDef, ast.Match, ast.Nonlocal, ast.Starred)


@pytest.mark.parametrize("version", [(2, 7, 18), (3, 6, 15), (3, 10, 13)])
def test_an_old_python_is_told_what_is_needed(version: tuple[int, int, int]) -> None:
    code = _PRETEND.format(version=version, path=str(TOP / "manage.py"))
    ended = subprocess.run([sys.executable, "-c", code, "demo"], capture_output=True, text=True, check=False)
    assert ended.returncode == 1
    assert ended.stdout == ""
    assert ended.stderr == (
        f"Hingeline needs Python 3.11 or newer and this is Python {version[0]}.{version[1]}: start it with a newer "
        "one, for example: python3.11 manage.py\n"
    )


def test_manage_py_can_be_read_by_any_python() -> None:
    source = (TOP / "manage.py").read_bytes()
    assert source.isascii(), "Python 2 reads no other character without a declaration"
    nodes = list(ast.walk(ast.parse(source, feature_version=(3, 4))))
    assert not [node for node in nodes if isinstance(node, _TOO_NEW)]
    functions = [node for node in nodes if isinstance(node, ast.FunctionDef)]
    assert not [one for one in functions if one.returns or any(argument.annotation for argument in one.args.args)]
