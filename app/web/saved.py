"""The line that stays after a save: what stands written, with Undo and Fix while they work."""

from dataclasses import dataclass
from datetime import datetime

from flask import url_for
from sqlalchemy.orm import Session

from app.domain.errors import NotFound
from app.domain.records import EntryKind, EntryStatus
from app.services import story
from app.services.access.people import Visitor
from app.services.entries import FIX_TIME, UNDO_TIME
from app.services.story import StoryLine
from app.web.request import id_arg

ICONS = {
    EntryKind.FEEDING: "feed",
    EntryKind.WATER_TEST: "test",
    EntryKind.LOGGER: "therm",
    EntryKind.JOB: "job",
    EntryKind.STOCK_EVENT: "fish",
    EntryKind.OBSERVATION: "look",
    EntryKind.WITHDRAWAL: "fixed",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SavedLine:
    """What was saved; an address is empty where this visitor can no longer do that."""

    text: str
    icon: str
    token: str
    undo_url: str
    fix_url: str
    entry_url: str


def just_saved(session: Session, tank_id: int, *, pupils: bool) -> StoryLine | None:
    """The entry that the address says was just saved, if the tank has it."""
    try:
        entry_id = id_arg("saved")
        if entry_id is None:
            return None
        return story.line(session, tank_id, entry_id, pupils=pupils)
    except NotFound:
        return None


def icon_of(line: StoryLine) -> str:
    """The drawing that stands for an entry."""
    if line.kind is EntryKind.JOB and line.detail.job == "water_change":
        return "change"
    if line.kind is EntryKind.OBSERVATION and not line.detail.is_look:
        return "note"
    if line.kind is EntryKind.OBSERVATION and line.detail.signs:
        return "odd"
    return ICONS[line.kind]


def undo_url(line: StoryLine, tank_id: int, visitor: Visitor, now: datetime) -> str:
    """Where to take the entry back, or "" when it is too late or done."""
    in_time = visitor.is_adult or (line.by_helper and now - line.recorded_at <= UNDO_TIME)
    if line.status is not EntryStatus.OK or not in_time or not visitor.writes:
        return ""
    return url_for("writing.undo", tank_id=tank_id, entry_id=line.entry_id)


def fix_url(line: StoryLine, tank_id: int, visitor: Visitor, now: datetime) -> str:
    """Where to correct the entry, or "" when it is too late, or it cannot be typed again."""
    in_time = visitor.is_adult or (line.by_helper and now - line.recorded_at <= FIX_TIME)
    typed = line.kind not in {EntryKind.LOGGER, EntryKind.WITHDRAWAL}
    if line.status is not EntryStatus.OK or not in_time or not typed or not visitor.writes:
        return ""
    return url_for("writing.fix", tank_id=tank_id, entry_id=line.entry_id)


def saved_line(line: StoryLine, tank_id: int, visitor: Visitor, now: datetime) -> SavedLine:
    """The line for an entry that was just saved."""
    began = "Saved." if line.status is EntryStatus.OK else "Taken back:"
    said = " · ".join((line.title, *line.lines, line.hands))
    adult = visitor.is_adult
    return SavedLine(
        text=f"{began} {said}",
        icon=icon_of(line),
        token=line.token,
        undo_url=undo_url(line, tank_id, visitor, now),
        fix_url=fix_url(line, tank_id, visitor, now),
        entry_url=url_for("story.entry", tank_id=tank_id, entry_id=line.entry_id) if adult else "",
    )
