"""What of a keeper's own table stands in the record already, and what the file says twice."""

import hashlib
from collections.abc import Collection
from datetime import datetime

from sqlalchemy.orm import Session

from app.domain.quantities import Quantity
from app.domain.sheet_rows import Item
from app.storage.queries import imports

_PLACES = {quantity: place for place, quantity in enumerate(Quantity)}


def digest_of(item: Item) -> str:
    """What tells one thing that was written down from another, whatever file it came in."""
    measured = "|".join(f"{r.quantity.value} {r.value:.6f}" for r in item.readings)
    text = f"{item.at.isoformat()}|{item.draft!r}|{measured}"
    return hashlib.blake2b(text.encode(), digest_size=16).hexdigest()


class Known:
    """What came with a file is known until the whole import is taken back.

    An entry is known by its digest, a device's reading by its quantity and its moment. They are
    kept as numbers: a file may be long.
    """

    def __init__(self, session: Session, tank_id: int, logged: Collection[Quantity] = ()) -> None:
        self._by_device = bool(logged)
        self._keys = {_key(digest) for digest in imports.digests(session, tank_id)}
        names = [quantity.value for quantity in logged]
        if names:
            self._keys.update(
                _moment_key(at) + _PLACES[Quantity(name)]
                for name, at in imports.logged(session, tank_id, names)
            )

    def fresh(self, item: Item) -> tuple[Item | None, str]:
        """What of an item is new, with the digest of an entry; from now on it is known."""
        if self._by_device and item.readings:
            moment = _moment_key(item.at)
            new = [r for r in item.readings if self._is_new(moment + _PLACES[r.quantity])]
            return (item._replace(readings=tuple(new)) if new else None), ""
        digest = digest_of(item)
        return (item if self._is_new(_key(digest)) else None), digest

    def _is_new(self, key: int) -> bool:
        before = len(self._keys)
        self._keys.add(key)
        return len(self._keys) > before


def _key(digest: str) -> int:
    # digests begin above all moments
    return int(digest[:16], 16) | 1 << 64 if digest else 0


def _moment_key(at: datetime) -> int:
    return int(at.timestamp() * 1000) * len(_PLACES)
