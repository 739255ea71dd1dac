"""Six people write while the server is killed or stopped: rounds of it, and what they came to.

Each form carries its own token. What got no answer is sent again under the same token after the
next start.
"""

import random
import signal
import threading
import time
from dataclasses import dataclass, field
from itertools import count

from tests.durability.browser import GONE, Meal, Served, written
from tests.durability.children import LONGEST

WRITERS = 6
_numbers = count(1)


@dataclass
class Log:
    """What the writers know: what was answered with success, and what nobody answered."""

    saved: dict[str, str] = field(default_factory=dict)
    open: list[Meal] = field(default_factory=list)
    meals: dict[str, Meal] = field(default_factory=dict)
    odd: list[str] = field(default_factory=list)

    def post(self, house: Served, meal: Meal, patience: float = LONGEST) -> bool:
        """Send a meal and note what came of it; False when no answer came."""
        self.meals[meal.token] = meal
        try:
            answer = house.feed(meal, patience)
        except GONE:
            self.open.append(meal)
            return False
        if answer.status != 303:
            self.odd.append(f"{answer.status}: {answer.text[:300]}")
        elif self.saved.setdefault(meal.token, answer.location) != answer.location:
            self.odd.append(f"{meal.token} is {self.saved[meal.token]} and {answer.location}")
        return True

    def post_again(self, house: Served) -> int:
        """Send once more what got no answer; returns how many that were."""
        waiting, self.open = self.open, []
        for meal in waiting:
            assert self.post(house, meal), "nobody answers after a start"
        return len(waiting)


def new_meal(writer: int) -> Meal:
    number = next(_numbers)
    return Meal(
        token=f"writer-{writer}-{number:06}",
        words=f"{number} pea halves",
        # within what this tank always has: a jump would be asked about
        temperature=f"{24 + number % 10 / 10:.1f}",
    )


def write_until(
    house: Served, log: Log, stop: threading.Event, patience: float
) -> list[threading.Thread]:
    """Let all writers post until they are told to stop, or nobody answers."""

    def write(writer: int) -> None:
        while not stop.is_set() and log.post(house, new_meal(writer), patience):
            pass

    writers = [threading.Thread(target=write, args=(n,)) for n in range(WRITERS)]
    for each in writers:
        each.start()
    return writers


@dataclass
class Counted:
    """What a run of rounds came to."""

    rounds: int = 0
    answered: int = 0
    sent_again: int = 0
    starts: list[float] = field(default_factory=list)


def killed_rounds(house: Served, rounds: int, chance: random.Random) -> Counted:
    """Kill the server again and again at random moments while everybody writes."""
    log, found = Log(), Counted(rounds)
    house.sign_in(house.up())
    for _ in range(rounds):
        writers = write_until(house, log, threading.Event(), LONGEST)
        time.sleep(chance.uniform(0.02, 0.6))
        house.down()
        for each in writers:
            each.join()
        house.up()
        found.sent_again += log.post_again(house)
        told_and_written_agree(house, log)
    # a token that was answered long ago still names the same entry, also after a start
    for token in chance.sample(sorted(log.saved), k=min(8, len(log.saved))):
        log.post(house, log.meals[token])
    told_and_written_agree(house, log)
    house.down()
    found.answered, found.starts = len(log.saved), house.starts
    return found


def told_and_written_agree(house: Served, log: Log) -> None:
    """Every entry that was answered with success is there once, as it was typed, and no other."""
    assert log.odd == [], log.odd[:3]
    wanted = {t: (log.meals[t].words, log.meals[t].temperature) for t in log.saved}
    assert written(house.file) == wanted


def stalled(house: Served, seconds: float, patience: float) -> Log:
    """Stop the process in the middle of saves, let everybody lose patience, and let it go on."""
    log, stop = Log(), threading.Event()
    house.sign_in(house.up())
    writers = write_until(house, log, stop, patience)
    time.sleep(0.3)
    assert house.child is not None
    house.child.send(signal.SIGSTOP)
    time.sleep(seconds)
    house.child.send(signal.SIGCONT)
    stop.set()
    for each in writers:
        each.join()
    # what was on its way is written under the same token, or was written already
    log.post_again(house)
    told_and_written_agree(house, log)
    house.down()
    return log
