from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from app.cli import main
from app.clock import FixedClock
from app.settings import Settings
from tests.record import MONDAY, Record, new_record

Run = Callable[..., Result]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The data folder of this computer; there is nothing in it yet."""
    data = tmp_path / "data"
    monkeypatch.setenv("SILLPOND_DATA", str(data))
    monkeypatch.setenv("TZ", "America/New_York")
    return data


@pytest.fixture
def run(folder: Path) -> Run:
    """Run a command as somebody would type it, on Monday morning."""

    def typed(*words: str, **more: object) -> Result:
        return CliRunner().invoke(
            main, words, obj=FixedClock(MONDAY), prog_name="sillpond", **more  # type: ignore[arg-type]
        )  # fmt: skip

    return typed


@pytest.fixture
def record(folder: Path) -> Iterator[Record]:
    """A record with one tank in this computer's folder."""
    folder.mkdir(exist_ok=True)
    made = new_record(folder)
    yield made
    made.database.close()


@pytest.fixture
def settings(folder: Path) -> Settings:
    return Settings(data_folder=folder, secret_key="")
