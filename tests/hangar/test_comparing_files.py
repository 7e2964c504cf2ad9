"""`manage.py compare`: two documents, what differs and what it does."""

import json
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

EXAMPLE = Path(__file__).parent.parent / "mixing" / "data" / "electric_glider.json"


def _with_more_flap(folder: Path) -> Path:
    document = json.loads(EXAMPLE.read_text(encoding="utf-8"))
    for coupling in document["couplings"]:
        if coupling["control"] == "lever" and coupling["channel"] in (6, 7):
            coupling["stations"][0][1] = 85
    document["surfaces"][2]["chord_mm"] = 50
    changed = folder / "changed.json"
    changed.write_text(json.dumps(document), encoding="utf-8")
    return changed


def _run(*arguments: str | Path) -> str:
    out = StringIO()
    call_command("compare", *map(str, arguments), stdout=out)
    return out.getvalue()


def test_says_what_differs_where_it_is_done_and_what_it_does(tmp_path: Path) -> None:
    text = _run(EXAMPLE, _with_more_flap(tmp_path))
    transmitter, _, model = text.partition("At the model:")
    assert transmitter.startswith("On the transmitter:")
    assert "Right flap" in transmitter
    assert "mm down" in transmitter
    assert "48 mm → 50 mm" in model


def test_says_the_same_as_json(tmp_path: Path) -> None:
    changes = json.loads(_run(EXAMPLE, _with_more_flap(tmp_path), "--json"))
    assert {change["path"]: change["on"] for change in changes} == {
        "surfaces/elevator/chord_mm": "model",
        "couplings/lever/6/*/stations": "transmitter",
        "couplings/lever/7/*/stations": "transmitter",
    }
    assert all(set(change) == {"path", "label", "before", "after", "effect", "on"} for change in changes)


def test_says_that_nothing_differs() -> None:
    assert _run(EXAMPLE, EXAMPLE) == "Nothing differs.\n"
    assert json.loads(_run(EXAMPLE, EXAMPLE, "--json")) == []


def test_refuses_what_is_no_setup(tmp_path: Path) -> None:
    bad = tmp_path / "bad.json"
    bad.write_text('{"schema": 1}', encoding="utf-8")
    with pytest.raises(CommandError, match=r"bad\.json: balance: is missing"):
        _run(EXAMPLE, bad)
