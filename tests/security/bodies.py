"""Bodies for programs' addresses that no program would send: broken, garbled, deep, endless."""

import copy
import json
import random
from collections.abc import Iterator
from typing import Any, Final

from tests.security import planted
from tests.security.garbage import TEXTS

READINGS: Final = {
    "readings": [{"quantity": "temperature", "unit": "°C", "value": 24.1, "at": None}]
}
ENTRIES: Final = (
    {"kind": "feeding", "scoops": 1, "again": True},
    {"kind": "observation", "seen": 16, "signs": ["hiding"], "note": "x", "readings": []},
    {"kind": "water_test", "readings": [{"quantity": "ph", "unit": "", "value": 7.4}], "note": ""},
    {"kind": "job", "job": "glass", "note": "x"},
    {"kind": "job", "job": "water_change", "liters_out": 10, "treated": "yes"},
)
# what stands in the text of a body as it is, though it is no JSON, or JSON that no one reads alike
_RAW: Final = (
    "NaN", "-Infinity", "1e400", "-1e400", "9" * 400, "0." + "0" * 400 + "1", "01", "0x1F", "'x'",
    "[" * 100_000, "[" * 40 + "]" * 40, '{"a":' * 5_000, '"\\ud800"', '"\\u0000"',
    f'"{"x" * 90_000}"', "1, 2", "1 // x", "undefined", "", '1, "kind": "job"', "1e999999999", "-0",
)  # fmt: skip
_VALUES: Final[tuple[Any, ...]] = (
    None, True, False, 0, -1, 2**63, 10**40, 1.5e308, "", "24", "now", [], {}, [[]], [None] * 500,
    {"value": 1}, {str(n): n for n in range(500)}, "9999-12-31T23:59:59Z", "0001-01-01T00:00:00Z",
)  # fmt: skip
_MARK: Final = "the-raw-part"


def garbled(body: dict[str, Any], chance: random.Random) -> bytes:
    """A body with something in it, or around it, that does not belong there."""
    made, raw = copy.deepcopy(body), ""
    for _ in range(chance.randint(1, 3)):
        if not made:
            break
        holder, name = chance.choice(list(_places(made)))
        what = chance.random()
        if what < 0.3:
            holder[name] = chance.choice(_VALUES)
        elif what < 0.6:
            holder[name] = chance.choice((*TEXTS, *planted.TEXTS))
        elif what < 0.85 or not isinstance(holder, dict):
            holder[name], raw = _MARK, chance.choice(_RAW)
        elif what < 0.95:
            holder.pop(name)
        else:
            holder[chance.choice(("id", "token", "author_id", "__class__"))] = 1
    text = json.dumps(made, ensure_ascii=True).replace(f'"{_MARK}"', raw)
    sent = text.encode()
    if chance.random() < 0.15:
        sent = chance.choice(tuple(_around(sent)))
    return sent


def _around(sent: bytes) -> Iterator[bytes]:
    """Bodies that are broken as a whole."""
    yield from (sent[: len(sent) // 2], sent * 2, b"[" + sent + b"]", b"", b" " * 100_000)
    yield from (b"\xff\xfe" + sent, sent.decode().encode("utf-16"))


def _places(body: Any) -> Iterator[tuple[Any, Any]]:
    """Every member and item of a body, as (what holds it, name or number)."""
    for name in list(body) if isinstance(body, dict) else range(len(body)):
        yield body, name
        if isinstance(body[name], dict | list) and body[name]:
            yield from _places(body[name])
