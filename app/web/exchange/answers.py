"""Answers that are files: made whole before the first byte goes out, then sent piece by piece."""

import io
from collections.abc import Callable, Iterable
from typing import IO

from flask import Response, send_file

from app.services.exchange import outgoing
from app.web.request import database, settings, visitor

# tells a spreadsheet that the file is UTF-8
_MARK = "\ufeff"
# bytes that are sent from memory
_SMALL = 4 * 1024 * 1024


def csv_file(name: str, lines: Iterable[str]) -> Response:
    """A CSV that is saved under this name."""

    def write(target: IO[bytes]) -> None:
        target.write(_MARK.encode())
        for line in lines:
            target.write(line.encode())

    return made_file(name, visitor().person_id, write, mimetype="text/csv")


def made_file(
    name: str,
    person_id: int,
    make: Callable[[IO[bytes]], object],
    mimetype: str = "application/octet-stream",
) -> Response:
    """A file that `make` writes, saved under this name.

    Raises:
        Conflict: If another file is being made for this person.
    """
    file = outgoing.made(database(), settings().data_folder, person_id, make)
    size = file.seek(0, 2)
    file.seek(0)
    if size <= _SMALL:
        with file:
            file = io.BytesIO(file.read())
    answer = send_file(file, mimetype=mimetype, as_attachment=True, download_name=name)
    answer.content_length = size
    return answer
