"""Files that wait to be looked at: kept for a day under the form's own token."""

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from app.domain.errors import Refused
from app.services import incoming

NOW = datetime(2027, 2, 8, 13, 41, tzinfo=UTC)
TOKEN = "Xk3_-abcdefgh"


def put(folder: Path, token: str, *, age: timedelta) -> None:
    incoming.hold(folder, token, b"a,b", now=NOW)
    made = (NOW - age).timestamp()
    os.utime(folder / "incoming" / f"{token}.csv", (made, made))


def test_what_was_handed_in_comes_back(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="once more"):
        incoming.held(tmp_path, TOKEN)

    incoming.hold(tmp_path, TOKEN, b"time,temp", now=NOW)

    assert incoming.held(tmp_path, TOKEN) == b"time,temp"


@pytest.mark.parametrize(
    ("age", "kept"), [(timedelta(hours=24), True), (timedelta(hours=24, seconds=1), False)]
)
def test_a_day_later_it_goes(tmp_path: Path, age: timedelta, kept: bool) -> None:
    put(tmp_path, TOKEN, age=age)

    incoming.hold(tmp_path, "another-token", b"", now=NOW)

    assert (tmp_path / "incoming" / f"{TOKEN}.csv").exists() is kept


@pytest.mark.parametrize("token", ["", "short", "../../etc/passwd", "a" * 65, "ünsafe-token"])
def test_a_token_is_no_path(tmp_path: Path, token: str) -> None:
    with pytest.raises(Refused):
        incoming.hold(tmp_path, token, b"x", now=NOW)
    with pytest.raises(Refused):
        incoming.held(tmp_path, token)
