"""Files that are made to be downloaded: one at a time for each person, and gone after it."""

import shutil
import tempfile
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import IO, Final

from app.domain.errors import Conflict
from app.services.installation import keeping
from app.settings import Settings
from app.storage.engine import Database

# what is held, among what a record may be asked to hold
_FILES: Final = 1


def made(
    database: Database, folder: Path, person_id: int, make: Callable[[IO[bytes]], object]
) -> IO[bytes]:
    """A file without a name, made by `make`, from its beginning; closing it removes it.

    Args:
        database: The record: whatever process has it open lets one file at a time be made.
        folder: The data folder: what is in the file is as private as the record.
        person_id: Who asked. Making takes a moment, and nobody has two made at once.
        make: Writes the content.

    Raises:
        Conflict: If another file is being made for this person.
    """
    place = folder / "outgoing"
    keeping.prepare_folder(place)
    try:
        with database.held(_FILES, person_id, place / f"{person_id}.lock"):
            file = tempfile.TemporaryFile(dir=place)  # noqa: SIM115  # whoever gets it closes it
            try:
                make(file)
                file.seek(0)
            except BaseException:
                file.close()
                raise
            return file
    except Conflict:
        raise Conflict("Another file is being made for you. Wait until it is there.") from None


def backup(settings: Settings, target: IO[bytes], *, now: datetime) -> None:
    """Write a backup of the record, as it is now, into an open file.

    Raises:
        NotFound: If the record is no file.
        Refused: If the copy is not whole.
    """
    place = settings.data_folder / "outgoing"
    with tempfile.TemporaryDirectory(dir=place) as folder:
        file = Path(folder) / "backup.sqlite"
        keeping.back_up(settings, file, now=now)
        with closing(file.open("rb")) as source:
            shutil.copyfileobj(source, target, 1024 * 1024)
