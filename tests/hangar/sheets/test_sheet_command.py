"""`manage.py sheet`: a file, or one clear line."""

from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from hangar.fleet.models import Airframe
from hangar.setups.models import Revision
from tests.factories import AirframeFactory

from .rendering import reader


@pytest.mark.usefixtures("first")
def test_the_newest_revision_is_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "sheet.pdf"
    call_command("sheet", "big-glider", "-o", str(path))
    document = reader(path.read_bytes())
    assert document.metadata is not None
    assert document.metadata.title == "Setup sheet: Big Glider, revision 1"
    assert capsys.readouterr().out == f"The setup sheet of big-glider, revision 1, is in {path}.\n"


@pytest.mark.usefixtures("first")
def test_paper_and_revision_can_be_named(tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    call_command("sheet", "big-glider", "--revision", "1", "--paper", "letter", "-o", str(path))
    assert float(reader(path.read_bytes()).pages[0].mediabox.width) == 612


@pytest.mark.usefixtures("first")
def test_without_a_name_the_file_is_named_after_the_revision(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    call_command("sheet", "big-glider")
    assert [path.name for path in tmp_path.iterdir()] == ["big-glider-revision-1-setup-sheet.pdf"]


def test_an_unknown_revision_is_refused_with_the_range(first: Revision, tmp_path: Path) -> None:
    with pytest.raises(CommandError, match=r"has no revision 7; give a number from 1 to 1\."):
        call_command("sheet", first.airframe.slug, "--revision", "7", "-o", str(tmp_path / "x.pdf"))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.usefixtures("airframe")
def test_an_airframe_without_a_setup_is_refused() -> None:
    with pytest.raises(CommandError, match="has no recorded setup yet"):
        call_command("sheet", "big-glider")


@pytest.mark.django_db
def test_an_unknown_airframe_is_refused_with_the_known_ones() -> None:
    AirframeFactory.create(slug="known")
    with pytest.raises(CommandError, match=r"no airframe 'nothing'.*known"):
        call_command("sheet", "nothing")


def test_a_file_that_cannot_be_written_is_told(first: Revision, tmp_path: Path) -> None:
    airframe: Airframe = first.airframe
    with pytest.raises(CommandError, match=r"Give another file after -o\."):
        call_command("sheet", airframe.slug, "-o", str(tmp_path / "missing" / "x.pdf"))
