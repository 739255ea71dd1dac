"""Letters of what is due: who wants one, on which days, and what it says.

A letter is nobody's by default. It leaves this computer and lies about on phones, so it says less
than a page: the tanks that this person may open, their states, what is due and why; no name of
anybody, no note, no loss that was not told.
"""

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from app.domain.calendar import local_day, next_midnight
from app.domain.errors import Refused
from app.domain.wording import count, full_day
from app.rules.model import Evaluation, State
from app.services import board, tasks
from app.services.access import people
from app.services.access.people import Adult
from app.services.transaction import finish
from app.storage.models.reminder import Reminder
from app.storage.queries.overview import TankPlace

LONGEST_ADDRESS: Final = 254
# plain addresses only: no quotes, no comments, no line ends, nothing that could begin a header
_ADDRESS: Final = re.compile(
    r"[A-Za-z0-9.!#$%&'*+/=?^_`{|}~-]{1,64}@[A-Za-z0-9-]+(?:\.[A-Za-z0-9-]+)+", re.ASCII
)
_ORDER: Final = (State.ACT_NOW, State.ACT, State.DONT_KNOW, State.WATCH, State.STEADY)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """A person's wish for letters: where to, on which weekdays (Monday = 0), how often."""

    email: str
    weekdays: frozenset[int]
    only_if_due: bool = True
    last_sent_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Letter:
    """What would be sent: one line as subject, and the text."""

    subject: str
    text: str
    tasks: int

    @property
    def parts(self) -> tuple[tuple[str, ...], ...]:
        """Its paragraphs, each as lines."""
        return tuple(tuple(part.splitlines()) for part in self.text.split("\n\n"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """A letter that is to go out: to whom, of which local day."""

    person_id: int
    name: str
    email: str
    day: date
    letter: Letter


def wish_of(session: Session, person_id: int) -> Wish | None:
    """What this person wishes, or None: then nothing is sent."""
    row = session.get(Reminder, person_id)
    if row is None:
        return None
    return Wish(
        email=row.email,
        weekdays=frozenset(int(day) for day in row.weekdays),
        only_if_due=row.only_if_due,
        last_sent_on=row.last_sent_on,
    )


def set_wish(session: Session, person_id: int, wish: Wish) -> None:
    """Keep what a person wishes.

    Raises:
        NotFound: If there is no such adult.
        Refused: If the address is none, or no day was chosen.
    """
    people.there(session, person_id)
    email = wish.email.strip()
    if len(email) > LONGEST_ADDRESS or not _ADDRESS.fullmatch(email):
        raise Refused("Enter a plain e-mail address, such as ann@example.org.")
    if not wish.weekdays:
        raise Refused("Choose at least one day.")
    row = session.get(Reminder, person_id) or Reminder(person_id=person_id)
    row.email = email
    row.weekdays = "".join(str(day) for day in sorted(wish.weekdays))
    row.only_if_due = wish.only_if_due
    session.add(row)
    finish(session)


def end_wish(session: Session, person_id: int) -> None:
    """Send no more letters to this person, and forget the address."""
    session.execute(delete(Reminder).where(Reminder.person_id == person_id))
    finish(session)


def letter(session: Session, tank_ids: Collection[int] | None, *, now: datetime) -> Letter | None:
    """What a letter would say of these tanks (None: of all); None where there is no tank.

    Use a session that shows no names of tiles.
    """
    places = {place.tank_id: place for place in board.tank_places(session, tank_ids)}
    if not places:
        return None
    found = tasks.look(session, list(places), now=now, pupils=True)
    seen = sorted(
        ((places[tank_id], evaluation) for tank_id, (_, evaluation) in found.items()),
        key=lambda each: (_ORDER.index(each[1].state), each[0].name.casefold(), each[0].tank_id),
    )
    return _written(seen, now=now)


def due(session: Session, *, now: datetime) -> Iterator[Due]:
    """The letters that are to go out at this moment: once a day to each, on their days.

    Whoever ended gets none. Use a session that shows no names of tiles.
    """
    wishes = {row.person_id: row for row in session.scalars(select(Reminder))}
    there = [each for each in people.adults(session, now=now) if each.is_there]
    for adult in there:
        row = wishes.get(adult.person_id)
        day = _day_of(session, adult, now) if row is not None else None
        if row is None or day is None or str(day.weekday()) not in row.weekdays:
            continue
        if row.last_sent_on is not None and row.last_sent_on >= day:
            continue
        written = letter(session, adult.tank_ids, now=now)
        if written is not None and (written.tasks or not row.only_if_due):
            yield Due(
                person_id=adult.person_id, name=adult.name, email=row.email, day=day, letter=written
            )


def claim(session: Session, person_id: int, day: date) -> date | None:
    """Take a day's letter on, so that nobody else sends it too; returns the day before it.

    Raises:
        Refused: If it was sent already, or is not wished any more.
    """
    row = session.scalar(select(Reminder).where(Reminder.person_id == person_id).with_for_update())
    if row is None or (row.last_sent_on is not None and row.last_sent_on >= day):
        raise Refused("It was sent already.")
    before = row.last_sent_on
    row.last_sent_on = day
    finish(session)
    return before


def give_back(session: Session, person_id: int, day: date, before: date | None) -> None:
    """Let a letter that could not be sent be tried again."""
    row = session.get(Reminder, person_id)
    if row is not None and row.last_sent_on == day:
        row.last_sent_on = before
    finish(session)


def _day_of(session: Session, adult: Adult, now: datetime) -> date | None:
    """The local day of the first of a person's tanks, None without any."""
    places = board.tank_places(session, adult.tank_ids)
    return local_day(now, places[0].zone) if places else None


def _written(seen: list[tuple[TankPlace, Evaluation]], *, now: datetime) -> Letter:
    today = local_day(now, seen[0][0].zone)
    several = len({place.site_id for place, _ in seen}) > 1
    parts, quiet, number = [], [], 0
    for place, evaluation in seen:
        name = f"{place.name}, {place.site_name}" if several else place.name
        lines = list(_task_lines(place, evaluation, now))
        number += len(lines)
        if lines:
            head = f"{name}: {evaluation.state.word}. {evaluation.state_line}"
            parts.append("\n".join((head, *lines)))
        else:
            quiet.append(f"{name} ({evaluation.state.word})")
    if quiet:
        parts.append(f"Nothing is due: {', '.join(quiet)}.")
    parts.append(
        "You asked for this letter in Sillpond. Settings, Letters ends it. It does not stand for "
        "a look at the tank."
    )
    said = count(number, "thing is", "things are") if number else "nothing is"
    return Letter(
        subject=f"Sillpond: {said} due",
        text="\n\n".join((full_day(today), *parts)) + "\n",
        tasks=number,
    )


def _task_lines(place: TankPlace, evaluation: Evaluation, now: datetime) -> Iterator[str]:
    """What is due by the end of the local day, each with its reasons."""
    end = next_midnight(now, place.zone)
    for task in evaluation.tasks:
        if task.due_at < end:
            yield f"- {task.action.title}. {task.reason}"
