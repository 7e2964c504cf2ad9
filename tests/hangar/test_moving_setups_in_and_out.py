"""import_setup and export_setup: byte for byte, and one clear message where it cannot be."""

import hashlib
import json
import os
import subprocess
import sys
from collections.abc import Callable
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from hangar.fleet.models import Airframe
from hangar.members.models import Member
from hangar.setups.models import Revision
from tests.factories import make_setup
from tests.patience import PATIENCE_S

TOP = Path(__file__).parents[2]


def run(command: str, *arguments: Any, **options: Any) -> str:
    out = StringIO()
    call_command(command, *map(str, arguments), stdout=out, **options)
    return out.getvalue()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """The setup as a person writes it: indented, keys in any order."""
    path = tmp_path / "glider.json"
    path.write_text(json.dumps(dict(reversed(make_setup().data().items())), indent=3))
    return path


def test_there_and_back(owner: Member, airframe: Airframe, file: Path, tmp_path: Path) -> None:
    said = run("import_setup", file, airframe="big-glider", reason="from the old laptop")
    revision = Revision.objects.get()
    assert said == f"Recorded big-glider revision 1, {make_setup().digest()}.\n"
    assert (revision.author, revision.origin, revision.reason) == (owner, "import", "from the old laptop")
    run("export_setup", "big-glider", "-o", tmp_path / "out.json")
    exported = (tmp_path / "out.json").read_bytes()
    assert exported == make_setup().text().encode()
    assert hashlib.sha256(exported).hexdigest() == revision.document_id
    assert run("export_setup", "big-glider").encode() == exported


def test_importing_what_was_exported_changes_nothing(airframe: Airframe, first: Revision, tmp_path: Path) -> None:
    run("export_setup", "big-glider", "-o", tmp_path / "out.json")
    said = run("import_setup", tmp_path / "out.json", airframe="big-glider", reason="again")
    assert said.startswith("Nothing to record: this is already big-glider revision 1")
    assert Revision.objects.count() == 1


def test_the_next_revision_by_another_member(
    helper: Member, airframe: Airframe, first: Revision, tmp_path: Path
) -> None:
    path = tmp_path / "new.json"
    path.write_text(make_setup(remarks="new").text())
    run("import_setup", path, "--as", "HELPER", airframe="big-glider", reason="new")
    second = Revision.objects.get(number=2)
    assert (second.parent, second.author) == (first, helper)
    assert json.loads(run("export_setup", "big-glider"))["remarks"] == "new"
    assert json.loads(run("export_setup", "big-glider", revision=1))["remarks"] == ""


def edited(edit: Callable[[dict[str, Any]], object]) -> str:
    data = make_setup().data()
    edit(data)
    return json.dumps(data)


BAD = {
    "an unknown key": (edited(lambda d: d["channels"][0].update(trim=3)), r"channels\[0\].trim: is not a key"),
    "NaN": (edited(lambda d: d["balance"].update(cg_low_mm=float("nan"))), "balance.cg_low_mm: is not a finite"),
    "unsorted stations": (
        edited(lambda d: d["couplings"][0].update(stations=[[100, 1], [-100, 2]])),
        r"couplings\[0\].stations: .*out of order",
    ),
    "a coupling to no channel": (edited(lambda d: d["couplings"][1].update(channel=9)), r"couplings\[1\].channel: "),
    "a key given twice": ('{"schema": 1, "schema": 1}', "schema: is given twice"),
    "no JSON": ("{", "not JSON"),
    "a list": ("[]", "is a list"),
    "nothing": ("", "not JSON"),
    "too large": (" " * (1024 * 1024 + 1), "larger than 1 MiB"),
}


@pytest.mark.parametrize("case", BAD)
def test_a_file_that_is_no_setup(airframe: Airframe, tmp_path: Path, case: str) -> None:
    text, message = BAD[case]
    path = tmp_path / "bad.json"
    path.write_text(text)
    with pytest.raises(CommandError, match=f"bad.json: .*{message}"):
        run("import_setup", path, airframe="big-glider", reason="r")
    assert not Revision.objects.exists()


def test_a_file_that_cannot_be_read_or_written(airframe: Airframe, first: Revision, tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="No such file"):
        run("import_setup", tmp_path / "gone.json", airframe="big-glider", reason="r")
    with pytest.raises(CommandError, match="directory"):
        run("import_setup", tmp_path, airframe="big-glider", reason="r")
    with pytest.raises(CommandError, match="No such file"):
        run("export_setup", "big-glider", "-o", tmp_path / "no" / "such.json")
    latin = tmp_path / "latin.json"
    latin.write_bytes(b'{"remarks": "H\xf6he"}')
    with pytest.raises(CommandError, match="not UTF-8"):
        run("import_setup", latin, airframe="big-glider", reason="r")


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ({"airframe": "no-such", "reason": "r"}, "no airframe 'no-such'. Known: big-glider"),
        ({"airframe": "big-glider", "reason": "r", "login": "nobody"}, "no member with the login 'nobody'"),
        ({"airframe": "big-glider", "reason": "r", "login": "reader"}, "You may not edit Big Glider"),
        ({"airframe": "big-glider", "reason": " "}, "Give a reason"),
    ],
)
def test_who_where_and_why(
    airframe: Airframe, reader: Member, file: Path, arguments: dict[str, str], message: str
) -> None:
    with pytest.raises(CommandError, match=message):
        run("import_setup", file, **arguments)
    assert not Revision.objects.exists()


def test_exporting_what_is_not_there(airframe: Airframe) -> None:
    with pytest.raises(CommandError, match="big-glider has no recorded setup"):
        run("export_setup", "big-glider")
    with pytest.raises(CommandError, match="big-glider has no revision 7"):
        run("export_setup", "big-glider", revision=7)


def test_without_a_database_there_is_one_message_and_status_1(tmp_path: Path, file: Path) -> None:
    arguments = ["import_setup", str(file), "--airframe", "x", "--reason", "r", "--skip-checks"]
    ended = django(arguments, tmp_path)
    assert ended.returncode == 1
    assert "manage.py migrate" in ended.stderr
    assert "Traceback" not in ended.stderr


def django(arguments: list[str], data: Path) -> subprocess.CompletedProcess[str]:
    """A command in a process of its own, with an empty data folder."""
    environment = {key: value for key, value in os.environ.items() if key != "DATABASE_URL"}
    environment |= {"HANGAR_DATA": str(data), "DJANGO_SETTINGS_MODULE": "hangar.settings"}
    return subprocess.run(
        [sys.executable, "-m", "django", *arguments],
        cwd=TOP,
        env={**environment, "PYTHONPATH": str(TOP)},
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        check=False,
    )
