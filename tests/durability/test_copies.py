"""A backup made while two people write is the record of one moment, photos included."""

import hashlib
import sqlite3
import threading
from contextlib import closing
from pathlib import Path

from sqlalchemy import text

from app.services.installation import keeping, restoring
from app.settings import Settings
from tests.record import MONDAY, ONE_SCOOP, Record
from tests.services.record_files import LATER, contents, filled

WRITERS = 2
BACKUPS = 3


def tokens(file: Path) -> list[str]:
    with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as connection:
        rows = connection.execute("SELECT token FROM entry WHERE token LIKE 'beside-%' ORDER BY id")
        return [token for (token,) in rows]


def add_photo(record: Record) -> str:
    """Put bytes into the record as a photo; returns their hash."""
    picture = bytes(range(256)) * 200
    known = hashlib.sha256(picture).hexdigest()
    with record.database.writing() as session:
        session.execute(
            text(
                "INSERT INTO photo (tank_id, taken_at, added_at, author_id, token, spot, caption,"
                " state, width, height, sha256, picture) VALUES (1, :at, :at, 1, 'p', '', '',"
                " 'shown', 16, 16, :sha, :picture)"
            ),
            {"at": "2027-02-08T13:41:00.000000Z", "sha": known, "picture": picture},
        )
        session.commit()
    return known


def test_a_backup_beside_two_writers_is_a_moment_and_comes_back_elsewhere(tmp_path: Path) -> None:
    record, settings = filled(tmp_path / "data")
    photo, stop = add_photo(record), threading.Event()

    def write_on(writer: int) -> None:
        number = 0
        while not stop.is_set():
            record.write(ONE_SCOOP, token=f"beside-{writer}-{number:05}")
            number += 1

    writers = [threading.Thread(target=write_on, args=(n,)) for n in range(WRITERS)]
    for each in writers:
        each.start()
    try:
        made = [tmp_path / f"{n}.sqlite" for n in range(BACKUPS)]
        reports = [keeping.back_up(settings, file, now=MONDAY) for file in made]
    finally:
        stop.set()
        for each in writers:
            each.join()
    record.database.close()
    everything = tokens(settings.database_file)
    for number, (file, report) in enumerate(zip(made, reports, strict=True)):
        assert report.is_whole
        found = tokens(file)
        assert found == everything[: len(found)], "what was saved later is in it, or earlier not"
        elsewhere = Settings(data_folder=tmp_path / f"elsewhere-{number}", secret_key="")
        if number == BACKUPS - 1:
            restoring.restore(elsewhere, file, now=LATER)
            assert contents(elsewhere.database_file) == contents(file)
            with closing(sqlite3.connect(elsewhere.database_file)) as connection:
                (picture,) = connection.execute("SELECT picture FROM photo").fetchone()
            assert hashlib.sha256(picture).hexdigest() == photo
