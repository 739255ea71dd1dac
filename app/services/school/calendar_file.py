"""A calendar file that somebody hands in: which days its events are, as RFC 5545 says.

Only whole days matter here: an event with a time counts on each local day that it touches.
"""

import hashlib
import re
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Final
from zoneinfo import ZoneInfo

from icalendar import Calendar, Event
from icalendar.error import InvalidCalendar

from app.domain.errors import Refused
from app.services.school.calendar_times import (
    Days,
    Steps,
    Unclear,
    days_on,
    moment_of,
    on_the_wall,
    read_event,
    times,
)

MOST_BYTES: Final = 500_000
LONGEST_NAME: Final = 80
_MOST_LINES: Final = 20_000
_MOST_EVENTS: Final = 2_000
_DEEPEST: Final = 4
_MOST_ZONES: Final = 50
_LONGEST_UID: Final = 180
_OF_A_ZONE: Final = frozenset({"FREQ", "BYMONTH", "BYDAY", "BYMONTHDAY", "UNTIL", "INTERVAL"})
_LONGEST_ZONE_RULE: Final = 80
_FOLD: Final = re.compile(r"(?:\r?\n)+[ \t]")
_LINE_END: Final = re.compile(r"\r?\n")
_NAME: Final = re.compile(r"[;:]")
_NO_CALENDAR: Final = "This is no calendar file. Export the calendar once more, as .ics."


@dataclass(frozen=True, slots=True, kw_only=True)
class FileEvent:
    """One event with the days on which it takes place from today on, in order.

    `whole_days` is False for one with times of day. `called_off`: the file says that it does not
    take place any more.
    """

    uid: str
    name: str
    days: tuple[Days, ...]
    whole_days: bool = True
    called_off: bool = False

    def uid_of(self, days: Days) -> str:
        """The name under which one time of the event is kept."""
        return f"{self.uid}#{days.key}" if days.key else self.uid


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarFile:
    """What a file holds: the events that are not over, and how many could not be read.

    `over` counts those that lie in the past.
    """

    events: tuple[FileEvent, ...]
    over: int = 0
    unclear: int = 0


def read_calendar(content: bytes, zone: str, *, today: date) -> CalendarFile:
    """The events of a file on the wall calendar of `zone`, from today on, three years ahead.

    Raises:
        Refused: If it is no calendar, too large, nested too deep or without an end.
    """
    text = _text(content)
    _guard(text)
    where, steps = ZoneInfo(zone), Steps()
    found: dict[str, list[Event]] = defaultdict(list)
    for event in _events(text):
        found[_uid(event)].append(event)
    events, over, unclear = [], 0, 0
    for uid, versions in found.items():
        try:
            read = _event(uid, versions, where, today, steps)
        except Unclear:
            unclear += 1
            continue
        if read.days:
            events.append(read)
        else:
            over += 1
    events.sort(key=lambda e: (e.days[0], e.name, e.uid))
    return CalendarFile(events=tuple(events), over=over, unclear=unclear)


def _text(content: bytes) -> str:
    if len(content) > MOST_BYTES:
        raise Refused("This file is too large. Export fewer months of the calendar.")
    try:
        return _FOLD.sub("", content.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise Refused(_NO_CALENDAR) from None


def _guard(text: str) -> None:
    """Refuse what no school calendar is before anything is built from it."""
    lines = _LINE_END.split(text)
    if len(lines) > _MOST_LINES:
        raise Refused("This file is too long. Export fewer months of the calendar.")
    within: list[str] = []
    zones = 0
    for line in lines:
        name = _NAME.split(line, maxsplit=1)[0].strip().upper()
        value = line.rpartition(":")[2].strip().upper()
        if name == "BEGIN":
            within.append(value)
            zones += value == "VTIMEZONE"
        elif name == "END" and within:
            within.pop()
        elif name == "RRULE" and "VTIMEZONE" in within and not _is_yearly(value):
            raise Refused("The time zone of this file makes no sense. Export it once more.")
        if len(within) > _DEEPEST or zones > _MOST_ZONES:
            raise Refused(_NO_CALENDAR)


def _is_yearly(rule: str) -> bool:
    """Whether the clocks change once a year by a rule, as they do."""
    parts = [part.partition("=")[::2] for part in rule.split(";")]
    names = {name for name, _ in parts}
    plain = names <= _OF_A_ZONE and len(names) == len(parts)
    return plain and ("FREQ", "YEARLY") in parts and len(rule) <= _LONGEST_ZONE_RULE


def _events(text: str) -> Iterator[Event]:
    try:
        calendars = Calendar.from_ical(text, multiple=True)
        walked = (each for calendar in calendars for each in calendar.walk("VEVENT"))
        found = [each for each in walked if isinstance(each, Event)]
    except (ValueError, KeyError, IndexError, TypeError, OverflowError, InvalidCalendar):
        raise Refused(_NO_CALENDAR) from None
    if not calendars:
        raise Refused(_NO_CALENDAR)
    if len(found) > _MOST_EVENTS:
        raise Refused("This file holds too many events. Export fewer months of the calendar.")
    return iter(found)


def _event(
    uid: str, versions: Sequence[Event], where: ZoneInfo, today: date, steps: Steps
) -> FileEvent:
    """An event from its main version and those of single times.

    Raises:
        Unclear: If it cannot be read.
    """
    single = [e for e in versions if "RECURRENCE-ID" in e]
    main = next((e for e in reversed(versions) if "RECURRENCE-ID" not in e), None)
    about = main or single[-1]
    days: dict[str, Days] = {}
    read = read_event(about)
    if main is not None:
        days = {d.key: d for d in times(read, where, today, steps)}
    for version in single:
        changed = read_event(version)
        key = on_the_wall(moment_of(version, "RECURRENCE-ID"), changed.zone).date().isoformat()
        days.pop(key, None)
        if not _is_off(version):
            days[key] = replace(days_on(changed, changed.start, where), key=key)
    coming = tuple(sorted(d for d in days.values() if d.last >= today))
    return FileEvent(
        uid=uid, name=_name(about), days=coming, whole_days=read.whole_days,
        called_off=main is not None and _is_off(main),
    )  # fmt: skip


def _is_off(event: Event) -> bool:
    return str(event.get("STATUS", "")).upper() == "CANCELLED"


def _name(event: Event) -> str:
    found: Any = event.get("SUMMARY", "")
    text = str(found[0] if isinstance(found, list) and found else found)
    words = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return words[:LONGEST_NAME].strip()


def _uid(event: Event) -> str:
    """The event's own name, shortened where it is long; made from it where it has none."""
    found = str(event.get("UID", "")).strip().replace("#", "%23")
    if not found:
        found = repr((_name(event), str(event.get("DTSTART", ""))))
    elif len(found) <= _LONGEST_UID:
        return found
    return hashlib.sha256(found.encode()).hexdigest()
