"""The key of the next page as one word that programs hand back as it is."""

import base64
import binascii
from datetime import datetime

from app.domain.errors import NotFound
from app.services.api.history import Key
from app.web.request import id_from


def cursor_of(key: Key | None) -> str | None:
    """The word for a key; None where there is no next page."""
    if key is None:
        return None
    moment, number = key
    return base64.urlsafe_b64encode(f"{moment.isoformat()}~{number}".encode()).decode()


def key_of(cursor: str | None) -> Key | None:
    """The key that a word stands for; None where none was sent.

    Raises:
        NotFound: If it is none of ours.
    """
    if cursor is None:
        return None
    try:
        text = base64.b64decode(cursor.encode("ascii"), altchars=b"-_", validate=True).decode()
        at, _, number = text.partition("~")
        moment, row = datetime.fromisoformat(at), id_from(number)
    except (ValueError, binascii.Error):
        moment, row = None, None
    if moment is None or moment.tzinfo is None or row is None:
        raise NotFound("There is no such page. Send `next_cursor` of the page before, as it was.")
    return moment, row
