"""What a form may be sent that nobody would type: broken numbers, days, texts, and fields."""

import random
from typing import Final
from urllib.parse import quote

from tests.security import planted
from tests.web.stories.browsing import Form

NUMBERS: Final = (
    "NaN", "-nan", "inf", "-Infinity", "1e400", "-1e400", "1e5", "-0", "0x1F", "9" * 40,
    "0." + "0" * 40 + "1", "1" * 400, "２４．９", "２４，９", "24,9", "٢٤", "²", "½", "1_000",
    "1 000", "--5", "+", ".", ",", "-1", "-99999", "2147483648", "9223372036854775808", "1e-400",
)  # fmt: skip
DAYS: Final = (
    "2027-02-30", "2027-02-30T08:00", "2027-03-14T02:30", "2027-11-07T01:30", "0000-00-00",
    "0000-00-00T00:00", "0001-01-01", "9999-12-31", "9999-12-31T23:59", "10000-01-01",
    "99999-01-01T00:00", "24:61", "25:00", "T", "2027-W06-1", "２０２７-02-08",
)  # fmt: skip
TEXTS: Final = (
    "\x00", "a\x00b", "\ud800", "x\udfffy", "\u202e", "\ufeff", "\U0001f420" * 30, "x" * 100_000,
    "e" + "\u0301" * 2_000, "'; DROP TABLE entry; --", "../../etc/passwd", "%s%n", "None", "null",
    "undefined", "true", "[]", "yes", "", " ", "\t\r\n", "a\r\nb", "\u2028", "\x1b[31m",
)  # fmt: skip
CHOICES: Final = (
    "~", "~~~", "a~b~c~d", "temperature~1e400~°F~", "|", "||", "°F|", "as N", "now", "pick",
    "darker", "lighter", "all", "some", "keeper",
)  # fmt: skip
# each kind comes as often as any other, however many there are of it
KINDS: Final = (NUMBERS, DAYS, TEXTS, CHOICES, planted.TEXTS)
_MADE_UP: Final = ("take", "all", "again", "job", "x", "rights", "author_id", "tank_id", "role")
_GUARDS: Final = {"csrf_token"}

Pairs = list[tuple[str, str]]


def garbled(form: Form, chance: random.Random) -> Pairs:
    """What a form would send, with some fields garbled, left out, doubled, renamed or made up."""
    pairs = list(form.pairs().items(multi=True))
    names = sorted(form.names - _GUARDS) or ["x"]
    for _ in range(chance.randint(1, 5)):
        pairs = _once(pairs, chance.choice(names), chance.choice(chance.choice(KINDS)), chance)
    if chance.random() < 0.5:  # a new form, not one that was saved before
        fresh = f"garbled-{chance.randrange(10**12)}"
        pairs = [(n, fresh if n == "token" else v) for n, v in pairs]
    return pairs


def _once(pairs: Pairs, name: str, value: str, chance: random.Random) -> Pairs:
    what = chance.random()
    others = [(n, v) for n, v in pairs if n != name]
    if what < 0.6:
        return [*others, (name, value)]
    if what < 0.7:
        return others
    if what < 0.8:
        return [*pairs, (name, value)]
    if what < 0.9:
        return [(f"{name}_x" if n == name else n, v) for n, v in pairs]
    return [*pairs, (chance.choice(_MADE_UP), value)]


def encoded(pairs: Pairs) -> str:
    """A body or a query, with characters that no well-behaved browser would send."""
    return "&".join(
        f"{quote(name, errors='surrogatepass')}={quote(value, errors='surrogatepass')}"
        for name, value in pairs
    )
