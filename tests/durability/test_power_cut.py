"""Whatever a power cut leaves of the log beside the record is the record after one of its saves.

After SQLite's own way of testing ("How SQLite Is Tested", crash testing): what was not synced is
cut short or scrambled, and what is left must be whole. That a save is synced before its answer
leaves is watched in `test_killed.py`.
"""

import os
import random
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from app.domain.quantities import Quantity
from tests.record import ONE_SCOOP, Record, new_record, reading

PLACES = 300 if os.environ.get("SILLPOND_HEAVY") == "1" else 60
SAVES = 12


def saved_tokens(file: Path) -> list[str]:
    """The entries of a record in the order in which they were saved; fails if it is not whole."""
    with closing(sqlite3.connect(file)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        headers, readings = (
            connection.execute("SELECT token FROM entry WHERE kind = 'feeding' ORDER BY id"),
            connection.execute("SELECT count(*) FROM reading"),
        )
        tokens = [token for (token,) in headers]
        assert readings.fetchone() == (len(tokens),), "half a save"
    return tokens


@pytest.fixture
def left(tmp_path: Path) -> Iterator[tuple[Record, Path]]:
    """A record in use with some saves in its log, and the folder that holds it."""
    folder = tmp_path / "data"
    folder.mkdir()
    record = new_record(folder)
    for n in range(SAVES):
        record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.0 + n / 10), token=f"save-{n}")
    yield record, folder
    record.database.close()


def test_whatever_is_left_of_the_log_is_a_prefix_of_the_saves(
    left: tuple[Record, Path], tmp_path: Path
) -> None:
    _, folder = left
    record, log = (folder / f"sillpond.sqlite{tail}" for tail in ("", "-wal"))
    whole, chance = log.read_bytes(), random.Random(20270208)
    wanted = [f"save-{n}" for n in range(SAVES)]
    after = tmp_path / "after.sqlite"
    lengths = set()
    for _ in range(PLACES):
        place = chance.randrange(len(whole) + 1)
        rest = chance.choice((b"", chance.randbytes(len(whole) - place), bytes(len(whole) - place)))
        for tail in ("-wal", "-shm"):
            after.with_name(after.name + tail).unlink(missing_ok=True)
        shutil.copyfile(record, after)
        after.with_name(after.name + "-wal").write_bytes(whole[:place] + rest)
        found = saved_tokens(after)
        assert found == wanted[: len(found)], f"cut at {place} of {len(whole)}"
        lengths.add(len(found))
    assert len(lengths) > SAVES // 2, "the places are spread over the saves"


def test_a_few_spoiled_bytes_end_the_log_where_they_lie(
    left: tuple[Record, Path], tmp_path: Path
) -> None:
    _, folder = left
    whole = (folder / "sillpond.sqlite-wal").read_bytes()
    chance, after = random.Random(8), tmp_path / "after.sqlite"
    wanted = [f"save-{n}" for n in range(SAVES)]
    for _ in range(PLACES // 3):
        spoiled = bytearray(whole)
        place = chance.randrange(len(whole))
        spoiled[place] ^= 1 << chance.randrange(8)
        for tail in ("-wal", "-shm"):
            after.with_name(after.name + tail).unlink(missing_ok=True)
        shutil.copyfile(folder / "sillpond.sqlite", after)
        after.with_name(after.name + "-wal").write_bytes(spoiled)
        found = saved_tokens(after)
        assert found == wanted[: len(found)], f"a bit at {place} of {len(whole)}"
