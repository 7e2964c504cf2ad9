"""A sheet that cannot be made, for tests of what is then told."""

import pytest

from hangar.sheets import render


def out_of_ink(monkeypatch: pytest.MonkeyPatch, slug: str) -> None:
    """From here on the sheet of this airframe cannot be made."""
    pdf = render.Facts.pdf

    def failing(facts: render.Facts, paper: str) -> bytes:
        if facts.revision.airframe.slug == slug:
            raise RuntimeError("out of ink")
        return pdf(facts, paper)

    monkeypatch.setattr(render.Facts, "pdf", failing)
