"""A page that prints nothing loads nothing that printing needs: a fresh process answers its first page sooner."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.patience import PATIENCE_S

TOP = Path(__file__).parents[3]
HEAVY = ("weasyprint", "pypdf", "segno", "PIL", "hypothesis", "hangar.demo")


@pytest.fixture
def environment(tmp_path: Path) -> dict[str, str]:
    """A site of its own on SQLite."""
    ours = {key: value for key, value in os.environ.items() if key not in ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")}
    return {**ours, "HANGAR_DATA": str(tmp_path), "PYTHONPATH": str(TOP)}


def test_the_line_up_an_airframe_and_its_bench_load_nothing_heavy(environment: dict[str, str]) -> None:
    layout = TOP / "fixtures" / "layouts" / "two_ailerons.json"
    # The renderer's PDF module is there by name, so that the list of names is seen to be looked at.
    told = subprocess.run(
        [sys.executable, TOP / "tests" / "hangar" / "first_answers.py", layout, *HEAVY, "hangar.sheets.pdf"],
        env=environment, capture_output=True, text=True, check=False, timeout=PATIENCE_S,
    )  # fmt: skip
    assert told.returncode == 0, told.stderr
    assert told.stdout.split() == ["hangar.sheets.pdf"]


def test_importing_the_computation_loads_no_site(environment: dict[str, str]) -> None:
    code = "import sys, mixing; print(*(name for name in ('django', 'hangar', *sys.argv[1:]) if name in sys.modules))"
    told = subprocess.run(
        [sys.executable, "-c", code, *HEAVY, "scipy", "mixing.audit"],
        env=environment, capture_output=True, text=True, check=True, timeout=PATIENCE_S,
    )  # fmt: skip
    assert told.stdout.split() == ["mixing.audit"]
