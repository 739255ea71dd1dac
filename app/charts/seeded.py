"""Numbers that look like chance and are the same every time, for drawings that must not change."""

from __future__ import annotations

from collections.abc import Iterator
from hashlib import blake2b
from itertools import count


def numbers(seed: object) -> Iterator[float]:
    """Endless numbers from 0 up to 1; the same seed gives the same ones on every machine."""
    for step in count():
        digest = blake2b(f"{seed}/{step}".encode(), digest_size=8).digest()
        yield int.from_bytes(digest, "big") / 2**64
