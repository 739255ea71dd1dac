"""What the templates of this folder get."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import groupby
from zoneinfo import ZoneInfo

from flask import url_for

from app.domain import wording
from app.domain.calendar import days_between, local_day, somebody_comes
from app.domain.quantities import FACTS
from app.domain.records import EntryKind, EntryStatus, Reading
from app.services.access.people import Visitor
from app.services.entries import CLOCK_SLIP
from app.services.story import StoryLine, StoryPage
from app.web.addresses import Addresses, numbered
from app.web.filters import clock_parts, short_day, span
from app.web.request import id_from
from app.web.saved import fix_url, icon_of, undo_url

GROUPS = {
    "food": ("Food", frozenset({EntryKind.FEEDING})),
    "water": ("Water", frozenset({EntryKind.WATER_TEST, EntryKind.LOGGER})),
    "animals": ("Animals", frozenset({EntryKind.STOCK_EVENT})),
    "jobs": ("Jobs", frozenset({EntryKind.JOB})),
    "looks": ("Looks and notes", frozenset({EntryKind.OBSERVATION})),
}
_KEY_FORM = "%Y-%m-%dT%H:%M:%S.%f"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One entry. `note` says what became of it; `gone` when it no longer counts."""

    url: str
    stamp: str
    clock: tuple[str, str]
    icon: str
    title: str
    lines: tuple[str, ...]
    by: str
    note: str
    gone: bool
    is_correction: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """A day with its entries, newest first, and the gap before it in time, if there is one."""

    title: str
    summary: str
    rows: tuple[Row, ...]
    gap: str
    gap_long: str
    nobody_meant: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TimelinePage:
    """A page of the story."""

    here: str
    groups: tuple[tuple[str, str, bool], ...]
    days: tuple[Day, ...]
    older_url: str
    filtered: bool
    notebook_url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryPage:
    """One entry with all that was ever written of it, oldest first."""

    row: Row
    day: str
    facts: tuple[tuple[str, str], ...]
    history: tuple[Row, ...]
    undo_url: str
    fix_url: str
    story_url: str


def key_text(key: tuple[datetime, int]) -> str:
    """Where the next page begins, as part of an address."""
    return f"{key[0].astimezone(UTC).strftime(_KEY_FORM)}~{key[1]}"


def key_from(text: str) -> tuple[datetime, int] | None:
    """The key in an address, or None where it is none."""
    moment, _, number = text.partition("~")
    entry_id = id_from(number)
    try:
        at = datetime.strptime(moment, _KEY_FORM).replace(tzinfo=UTC)
    except ValueError:
        return None
    return None if entry_id is None else (at, entry_id)


def timeline_page(
    tank_id: int,
    found: StoryPage,
    *,
    chosen: frozenset[str],
    now: datetime,
    above: datetime,
) -> TimelinePage:
    """A page of the story from its lines; `above` is the moment that stands before the first."""
    filtered = bool(chosen) and chosen != frozenset(GROUPS)
    shown = chosen or frozenset(GROUPS)
    kinds = sorted(chosen) if filtered else []
    older = ""
    if found.older:
        older = url_for("story.story", tank_id=tank_id, kind=kinds, before=key_text(found.older))
    return TimelinePage(
        here=url_for("story.story", tank_id=tank_id),
        groups=tuple((key, label, key in shown) for key, (label, _) in GROUPS.items()),
        days=tuple(_days(tank_id, found, now, None if filtered else above)),
        older_url=older,
        filtered=filtered,
        notebook_url=url_for("notebook.notebook", tank_id=tank_id),
    )


def _days(tank_id: int, found: StoryPage, now: datetime, above: datetime | None) -> Iterator[Day]:
    """The days of a page; with `above`, the gaps between them too."""
    site, today = found.site, local_day(now, found.site.zone)
    to_entry = entry_addresses(tank_id)
    for day, lines in groupby(found.lines, key=lambda line: line.local_day):
        of_day = tuple(lines)
        gap, long, nobody = "", "", False
        if above is not None:
            last_before = local_day(above, site.zone) - timedelta(days=1)
            between = tuple(days_between(day, last_before))
            gap = _gap_words(between)
            long = span(above - of_day[0].happened_at) if between else ""
            nobody = bool(between) and not any(somebody_comes(site, each) for each in between)
        yield Day(
            title=_day_title(day, today),
            summary=_summary(of_day),
            rows=tuple(row_of(line, to_entry, site.zone, now) for line in of_day),
            gap=gap,
            gap_long=long,
            nobody_meant=nobody,
        )
        above = above and of_day[-1].happened_at


def _gap_words(days: tuple[date, ...]) -> str:
    if not days:
        return ""
    if [day.weekday() for day in days] == [5, 6]:
        return "Weekend"
    first, last = short_day(days[0]), short_day(days[-1])
    return first if first == last else f"{first} to {last}"


def _day_title(day: date, today: date) -> str:
    title = wording.full_day(day)
    return title if day.year == today.year else f"{title} {day.year}"


def _summary(lines: tuple[StoryLine, ...]) -> str:
    corrections = sum(line.replaces_id is not None for line in lines)
    said = wording.count(len(lines), "entry", "entries")
    if corrections:
        said += f", {wording.count(corrections, 'correction', 'corrections')}"
    return said


def entry_addresses(tank_id: int) -> Addresses:
    """The addresses of the entries of a tank, by their numbers."""
    return numbered("story.entry", "entry_id", tank_id=tank_id)


def row_of(line: StoryLine, to_entry: Addresses, zone: str, now: datetime) -> Row:
    """One entry as a row."""
    return Row(
        url=to_entry(line.entry_id),
        stamp=line.happened_at.astimezone(ZoneInfo(zone)).strftime("%Y-%m-%dT%H:%M"),
        clock=clock_parts(line.happened_at, zone),
        icon="fixed" if line.replaces_id is not None else icon_of(line),
        title=line.title,
        lines=line.lines,
        by=_by(line, zone, now),
        note=_note(line, now),
        gone=line.status is not EntryStatus.OK,
        is_correction=line.replaces_id is not None,
    )


def _by(line: StoryLine, zone: str, now: datetime) -> str:
    said = line.hands
    if line.added_later:
        said += f", added {_added(line.recorded_at, zone, now)}"
    return said


def _added(moment: datetime, zone: str, now: datetime) -> str:
    """When it was typed in, always with its day: "Mon 8:20 am"."""
    day = local_day(moment, zone)
    days = (local_day(now, zone) - day).days
    name = f"{day:%a}" if 0 <= days < 7 else short_day(day)
    return f"{name} {wording.clock(moment, zone)}"


def _note(line: StoryLine, now: datetime) -> str:
    if line.status is EntryStatus.OK and line.happened_at > now + CLOCK_SLIP:
        return "This time has not come yet. Look at the clock of the computer, then fix the entry."
    if line.status is EntryStatus.WITHDRAWN:
        return f"Taken back: {line.taken_back}" if line.taken_back else "Taken back"
    if line.status is EntryStatus.CORRECTED:
        return "Replaced by a correction"
    if line.replaces_id is not None:
        return f"Corrected: {line.reason}" if line.reason else "Corrected"
    return line.reason


def _typed(reading: Reading) -> str:
    """What was typed: "20", or each of several readers, "Finch 10, Moss 20 and Otter 20"."""
    if reading.tube is None:
        return reading.typed
    return wording.listed([f"{s.reader} {s.typed}".strip() for s in reading.tube.seen])


def entry_page(
    tank_id: int,
    line: StoryLine,
    history: tuple[StoryLine, ...],
    *,
    zone: str,
    visitor: Visitor,
    now: datetime,
) -> EntryPage:
    """One entry with its history."""
    to_entry = entry_addresses(tank_id)
    happened = wording.when_text(line.happened_at, zone, now)
    recorded = wording.when_text(line.recorded_at, zone, now)
    facts = [("It happened", happened), ("Written down", f"{recorded} by {line.author}")]
    if line.done_by:
        facts.append(("Whose hands", line.done_by))
    for reading in line.readings:
        if reading.typed:
            typed = " ".join(p for p in (_typed(reading), reading.unit, reading.basis) if p)
            facts.append((f"{FACTS[reading.quantity].label} as typed", typed))
    return EntryPage(
        row=row_of(line, to_entry, zone, now),
        day=wording.full_day(line.local_day),
        facts=tuple(facts),
        history=tuple(row_of(each, to_entry, zone, now) for each in history),
        undo_url=undo_url(line, tank_id, visitor, now),
        fix_url=fix_url(line, tank_id, visitor, now),
        story_url=url_for("story.story", tank_id=tank_id),
    )
