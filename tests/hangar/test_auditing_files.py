"""`manage.py audit`: what to mend before a setup flies, from a file."""

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

EXAMPLE = Path(__file__).parent.parent / "mixing" / "data" / "electric_glider.json"


def _run(*arguments: str | Path) -> tuple[str, int]:
    out = StringIO()
    try:
        call_command("audit", *map(str, arguments), stdout=out)
    except SystemExit as stop:
        return out.getvalue(), int(stop.code or 0)
    return out.getvalue(), 0


def _changed(folder: Path, change: Any) -> Path:
    document = json.loads(EXAMPLE.read_text(encoding="utf-8"))
    change(document)
    path = folder / "changed.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    return path


def _wide_stops(document: dict[str, Any]) -> None:
    for surface in document["surfaces"]:
        surface.update(stop_up_deg=90, stop_down_deg=90)


def test_the_example_has_both_ailerons_and_the_rudder_past_their_stops() -> None:
    text, status = _run(EXAMPLE, "--json")
    findings = json.loads(text)
    warnings = [(finding["code"], finding["where"]) for finding in findings if finding["severity"] == "warning"]
    assert sorted(warnings) == [
        ("past-stop", "surfaces/left_aileron"),
        ("past-stop", "surfaces/right_aileron"),
        ("past-stop", "surfaces/rudder"),
    ]
    assert status == 1
    assert all(set(finding) == {"severity", "code", "where", "text", "at"} for finding in findings)


def test_without_a_warning_the_exit_status_is_0(tmp_path: Path) -> None:
    text, status = _run(_changed(tmp_path, _wide_stops))
    assert status == 0
    assert "WARNING" not in text


def test_the_text_names_the_worst_first_and_where_to_see_it() -> None:
    text, _ = _run(EXAMPLE)
    assert text.startswith("WARNING")
    assert "see it at" in text
    assert "Left lever back" in text


def test_a_small_receiver_is_told() -> None:
    text, status = _run(EXAMPLE, "--receiver-channels", "6", "--json")
    assert "too-few-channels" in {finding["code"] for finding in json.loads(text)}
    assert status == 1
    assert "too-few-channels" not in _run(EXAMPLE, "--receiver-channels", "7", "--json")[0]


def test_an_impossible_receiver_is_refused() -> None:
    with pytest.raises(CommandError, match="1 or more"):
        _run(EXAMPLE, "--receiver-channels", "0")
