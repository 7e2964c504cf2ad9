"""A small club to be spoilt, and an empty site that refuses it."""

from collections.abc import Iterator
from typing import Any

import pytest

from tests.hangar.hostile.archives import Files, nothing_stays, small_club


@pytest.fixture(autouse=True)
def _empty(db: None) -> Iterator[None]:
    with nothing_stays():
        yield


@pytest.fixture(scope="module")
def club(django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory) -> Files:
    return small_club(tmp_path_factory.mktemp("club") / "club.zip", django_db_blocker)
