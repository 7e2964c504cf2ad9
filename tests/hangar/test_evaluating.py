"""`evaluate`: what every channel, surface and device does, without a database."""

import json
import math
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from mixing import Rig, Setup
from tests.factories import make_setup
from tests.hangar.test_moving_setups_in_and_out import django


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "glider.json"
    path.write_text(make_setup().text())
    return path


def evaluate(path: Path, *arguments: str) -> str:
    out = StringIO()
    call_command("evaluate", str(path), *arguments, stdout=out, stderr=StringIO())
    return out.getvalue()


def test_json(file: Path) -> None:
    """By hand: full back stick is −80 % travel, 1100 µs; 24 mm over 1000 µs and 1500 µs at 0 make −9.6 mm."""
    found: dict[str, Any] = json.loads(evaluate(file, "--at", "pitch=100", "--at", "power=0", "--json"))
    assert set(found) == {"channels", "surfaces", "devices"}
    assert found["channels"]["1"] == {"travel_pct": -80.0, "pulse_us": 1100.0, "held": False}
    assert found["channels"]["2"] == {"travel_pct": 0.0, "pulse_us": 1500.0, "held": False}
    assert set(found["surfaces"]) == {"elevator"}
    assert set(found["surfaces"]["elevator"]) == {"deflection_deg", "throw_mm"}
    assert found["surfaces"]["elevator"]["throw_mm"] == pytest.approx(-9.6)
    # 2·asin(9.6 / (2·40 mm)) = 13.784°
    assert found["surfaces"]["elevator"]["deflection_deg"] == pytest.approx(-13.784, abs=1e-3)
    assert found["devices"] == {"motor": {"level_pct": pytest.approx(50.0)}}


def test_controls_left_out_are_at_rest(file: Path) -> None:
    found = json.loads(evaluate(file, "--json"))
    assert found["surfaces"]["elevator"] == {"deflection_deg": 0.0, "throw_mm": 0.0}
    assert found["devices"]["motor"] == {"level_pct": 0.0}


def test_no_minus_before_nought(tmp_path: Path) -> None:
    """A mirrored linkage in the middle computes −0.0, which nobody asked for."""
    data = make_setup().data()
    data["surfaces"][0]["linkage"] = {"kind": "unmeasured", "deg_per_1000_us": 40, "longer_pulse": "raises"}
    path = tmp_path / "mirrored.json"
    path.write_text(json.dumps(data))
    assert math.copysign(1, float(Rig(make_setup(**data)).at({}).throw_mm["elevator"])) == -1
    assert "-0.0" not in evaluate(path, "--json")


def test_a_table_for_people(file: Path) -> None:
    table = evaluate(file, "--at", "pitch=100")
    elevator = next(line for line in table.splitlines() if "9.6 mm up" in line)
    assert elevator.split() == ["Elevator", "9.6", "mm", "up", "−13.8°"]
    assert "estimated" not in table


def test_limits_and_estimates_are_said(tmp_path: Path) -> None:
    data = make_setup().data()
    data["channels"][0]["low_us"] = 1200
    data["surfaces"][0]["linkage"] = {"kind": "unmeasured", "deg_per_1000_us": 40, "longer_pulse": "lowers"}
    path = tmp_path / "limited.json"
    path.write_text(Setup.model_validate(data).text())
    table = evaluate(path, "--at", "pitch=100")
    assert "held by its limits" in table
    assert "estimated" in table
    assert json.loads(evaluate(path, "--at", "pitch=100", "--json"))["channels"]["1"]["held"] is True


def test_some_surfaces_only(file: Path) -> None:
    assert set(json.loads(evaluate(file, "--surface", "elevator", "--json"))["surfaces"]) == {"elevator"}


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--at", "roll=50"], 'no control "roll"; give one of pitch, power'),
        (["--at", "pitch=101"], "pitch was given 101"),
        (["--at", "pitch"], "such as roll=50"),
        (["--at", "pitch=nan"], "such as roll=50"),
        (["--at", "pitch=1", "--at", "pitch=2"], "given twice"),
        (["--phase", "thermal"], 'no phase "thermal"'),
        (["--surface", "canard"], "no surface 'canard'; give one of elevator"),
    ],
)
def test_what_is_not_there(file: Path, arguments: list[str], message: str) -> None:
    with pytest.raises(CommandError, match=message):
        evaluate(file, *arguments)


def test_it_needs_no_database(file: Path, tmp_path: Path) -> None:
    ended = django(["evaluate", str(file), "--at", "pitch=50", "--json"], tmp_path / "data")
    assert ended.returncode == 0, ended.stderr
    assert json.loads(ended.stdout)["channels"]["1"]["travel_pct"] == pytest.approx(-40.0)
    assert not list((tmp_path / "data").glob("*.sqlite3"))


def test_a_refusal_ends_with_status_1_and_no_traceback(file: Path, tmp_path: Path) -> None:
    ended = django(["evaluate", str(file), "--at", "roll=50"], tmp_path / "data")
    assert ended.returncode == 1
    assert ended.stderr.startswith('CommandError: there is no control "roll"')
    assert "Traceback" not in ended.stderr
