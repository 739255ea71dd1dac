"""Hostile posts over all forms of all pages in each role; what must never come back is a fault.

``python -m tests.security.fuzzing 10000`` prints how the answers were spread, the slowest, and
every fault. The tests send fewer; with SILLPOND_HEAVY=1 as many.
"""

import logging
import random
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, Protocol

from werkzeug.test import TestResponse

from tests.security import planted
from tests.security.garbage import Pairs, encoded, garbled
from tests.security.house import Caller, House, house
from tests.security.walking import Found, forms_of

SEED: Final = 20270208
ALLOWED: Final = {200, 303, 400, 403, 404, 409, 413, 414, 422, 429}
FORGED: Final = ("csrf_token", "ImZvcmdlZCI.aaaaaa.bbbbbbbbbbbbbbbbbbbbbbbbbbb")
_FORM: Final = "application/x-www-form-urlencoded"
_BATCH: Final = 25
_LONGEST_QUERY: Final = 8_000


class Place(Protocol):
    """Where forms are sent: it gives browsers their sessions back, and may forget what was sent."""

    def put_back(self) -> None:
        """Let the record be what it was, where that can be."""

    def come_back(self, caller: Caller) -> None:
        """Give a browser the session that it had."""


@dataclass
class Outcome:
    """What came of a run: answers by status, forms that were sent, faults, the slowest answer."""

    statuses: Counter[int] = field(default_factory=Counter)
    sent: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    slowest: float = 0.0
    slowest_form: str = ""

    def report(self) -> str:
        """The run in a few lines."""
        spread = ", ".join(f"{status}: {n}" for status, n in sorted(self.statuses.items()))
        return "\n".join(
            (
                f"{self.statuses.total()} posts over {len(self.sent)} forms; {spread}",
                f"slowest {1000 * self.slowest:.0f} ms of one core: {self.slowest_form}",
                f"{len(self.faults)} faults",
                *self.faults,
            )
        )


def every_form(house: House) -> list[Found]:
    """A form of each kind that each of the callers can reach and send."""
    return sendable(found for caller in house.callers.values() for found in forms_of(house, caller))


def sendable(forms: Iterable[Found]) -> list[Found]:
    """The forms with a button: a page may show one that only others can send."""
    return [found for found in forms if found.form.buttons]


def fuzz(house: Place, forms: Sequence[Found], posts: int, *, seed: int = SEED) -> Outcome:
    """Send garbled forms in an order of chance, each form about as often as any other.

    The record is put back every now and then, so that no post ends the run for the next ones; what
    the last ones did stays.
    """
    chance, outcome = random.Random(seed), Outcome()
    with logged_errors() as errors:
        for number in range(posts):
            if number % _BATCH == 0:
                house.put_back()
                order = chance.sample(forms, min(_BATCH, len(forms)))
            found = order[number % len(order)]
            house.come_back(found.caller)
            pairs = garbled(found.form, chance)
            begun = time.process_time()
            answer = send(found, pairs)
            _judge(outcome, found, pairs, answer, time.process_time() - begun)
            house.come_back(found.caller)
    outcome.faults += errors
    return outcome


def send(found: Found, pairs: Pairs) -> TestResponse:
    """Send these fields as a browser would, of a form that asks as a query."""
    client, action = found.caller.client, found.form.action
    if found.asks:
        query = encoded(pairs)[:_LONGEST_QUERY]
        return client.get(f"{action.partition('?')[0]}?{query}", buffered=True)
    return client.post(action, data=encoded(pairs).encode("ascii"), content_type=_FORM)


def _judge(
    outcome: Outcome, found: Found, pairs: Pairs, answer: TestResponse, seconds: float
) -> None:
    name = f"{found.caller.name} at {found.form.action}"
    outcome.statuses[answer.status_code] += 1
    outcome.sent[name] += 1
    if seconds > outcome.slowest:
        outcome.slowest, outcome.slowest_form = seconds, name
    wrong = list(planted.faults_of(answer))
    if answer.status_code not in ALLOWED:
        wrong.append(f"answered {answer.status_code}")
    if b"Traceback (most recent" in answer.data:
        wrong.append("showed a traceback")
    if wrong:
        shown = [(n, v[:60]) for n, v in pairs if n != "csrf_token"]
        outcome.faults += [f"{name} with {shown}: {fault}" for fault in wrong]


def taken_without_token(house: House, forms: Iterable[Found]) -> list[str]:
    """The forms that are taken without the token of their page, or with a forged one."""
    taken = []
    for number, found in enumerate(f for f in forms if not f.asks):
        house.come_back(found.caller)
        pairs = [p for p in found.form.pairs().items(multi=True) if p[0] != "csrf_token"]
        answer = send(found, pairs + [FORGED] * (number % 2))
        if answer.status_code != 400:
            taken.append(f"{found.caller.name} at {found.form.action}: {answer.status_code}")
    house.put_back()
    return taken


@contextmanager
def logged_errors() -> Iterator[list[str]]:
    """What is logged as an error meanwhile."""
    found: list[str] = []
    handler = logging.Handler(logging.ERROR)
    handler.emit = lambda record: found.append(f"logged: {record.getMessage()}")  # type: ignore[method-assign]
    logging.getLogger().addHandler(handler)
    try:
        yield found
    finally:
        logging.getLogger().removeHandler(handler)


def main(posts: int) -> int:
    """Run it on a fresh record and print what came of it."""
    with tempfile.TemporaryDirectory() as folder, house(Path(folder)) as made:
        outcome = fuzz(made, every_form(made), posts)
    sys.stdout.write(outcome.report() + "\n")
    return 1 if outcome.faults else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 500))
