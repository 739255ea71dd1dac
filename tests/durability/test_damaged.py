"""A damaged file is told at start, is not written to, and the last whole copy is named."""

import random
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from app.domain.errors import Refused, SillpondError
from app.services.installation import keeping, restoring
from app.settings import Settings
from tests.record import MONDAY
from tests.services.record_files import LATER, contents, filled, settle

PAGE = 4096
PLACES = 16


def closed(tmp_path: Path) -> tuple[Settings, Path]:
    """A record that nobody has open, with a copy of it."""
    record, settings = filled(tmp_path / "data")
    copy = keeping.copy_aside(settings, "before", MONDAY)
    settle(record.database)
    for tail in ("-wal", "-shm"):
        settings.database_file.with_name(settings.database_file.name + tail).unlink(missing_ok=True)
    return settings, copy


def cut_in_half(whole: bytes) -> bytes:
    return whole[: len(whole) // 2]


def cut_in_a_page(whole: bytes) -> bytes:
    return whole[: len(whole) - PAGE // 2]


def one_page_of_noise(whole: bytes) -> bytes:
    return whole[: 2 * PAGE] + b"\xff" * PAGE + whole[3 * PAGE :]


def head_spoiled(whole: bytes) -> bytes:
    return b"\x00" * 100 + whole[100:]


def emptied(_whole: bytes) -> bytes:
    return b""


def another_file(_whole: bytes) -> bytes:
    return b"Dear diary, " * 2000


@pytest.mark.parametrize(
    "damage",
    [cut_in_half, cut_in_a_page, one_page_of_noise, head_spoiled, emptied, another_file],
)
def test_a_damaged_record_is_refused_left_alone_and_put_back_from_its_copy(
    tmp_path: Path, damage: Callable[[bytes], bytes]
) -> None:
    settings, copy = closed(tmp_path)
    file, wanted = settings.database_file, contents(copy)
    file.write_bytes(damage(file.read_bytes()))
    before = file.read_bytes()
    with pytest.raises(Refused) as refused:
        keeping.open_record(settings, now=LATER)
    assert f"sillpond restore {copy}" in str(refused.value)
    assert file.read_bytes() == before, "a damaged file was written to"
    if damage is cut_in_half:
        restoring.restore(settings, copy, now=LATER)
        assert contents(file) == wanted
        keeping.open_record(settings, now=LATER).close()


def test_a_copy_that_is_damaged_itself_is_not_offered(tmp_path: Path) -> None:
    settings, whole = closed(tmp_path)
    newer = keeping.copy_aside(settings, "newer", LATER)
    newer.write_bytes(one_page_of_noise(newer.read_bytes()))
    file = settings.database_file
    file.write_bytes(cut_in_half(file.read_bytes()))
    with pytest.raises(Refused) as refused:
        keeping.open_record(settings, now=LATER)
    assert str(whole) in str(refused.value)
    assert str(newer) not in str(refused.value)


def test_flipped_bytes_are_told_or_do_no_harm(tmp_path: Path) -> None:
    """SQLite keeps no checksum of its pages: a byte within a text cannot be told from another."""
    settings, _ = closed(tmp_path)
    file, chance = settings.database_file, random.Random(20270208)
    whole, told = file.read_bytes(), 0
    for _ in range(PLACES):
        spoiled = bytearray(whole)
        for _ in range(8):
            spoiled[chance.randrange(len(spoiled))] ^= 0xFF
        file.write_bytes(spoiled)
        try:
            keeping.needs_upgrade(settings)
        except SillpondError:
            told += 1
            assert file.read_bytes() == bytes(spoiled)
        else:
            with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as connection:
                assert connection.execute("PRAGMA quick_check(1)").fetchone() == ("ok",)
    assert told > 0
