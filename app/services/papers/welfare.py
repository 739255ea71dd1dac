"""The welfare record: the five needs, each with what the record shows and what it lacks."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.domain.records import EntryStatus
from app.domain.snapshot import TankSnapshot
from app.domain.wording import dated
from app.knowledge.model import Knowledge
from app.rules.lodgers import Clash, ClashKind, ClashLevel
from app.services.absences import coming
from app.services.livestock.needs import Needs, needs_of
from app.services.papers import welfare_animals, welfare_tank
from app.services.papers.welfare_lines import Line, Shown, period_of
from app.storage.models.entry import Entry

SOURCES: Final = ("rspca-education", "duty-of-care")
VET_CONTACT: Final = "vet_contact"

_ENVIRONMENT: Final = frozenset({ClashKind.TEMPERATURE, ClashKind.PH, ClashKind.GH})
_BEHAVIOR: Final = frozenset(
    {ClashKind.TANK, ClashKind.LENGTH, ClashKind.HEIGHT, ClashKind.CROWDED}
)
_COMPANY: Final = frozenset(
    {ClashKind.GROUP, ClashKind.ALONE, ClashKind.EATEN, ClashKind.TEMPERAMENT}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """One of the five: what shows that it is met, what speaks against it, what nobody wrote."""

    title: str
    question: str
    evidence: tuple[Line, ...]
    against: tuple[str, ...]
    gaps: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WelfareRecord:
    """The record of the days from `first` to `last`; people in it are adults only."""

    first: date
    last: date
    needs: tuple[Need, ...]
    people: tuple[Line, ...]
    people_gaps: tuple[str, ...]
    corrected: int
    taken_back: int

    @property
    def gaps(self) -> int:
        """How much nobody wrote down."""
        return len(self.people_gaps) + sum(len(need.gaps) for need in self.needs)


def welfare_record(
    session: Session, snapshot: TankSnapshot, knowledge: Knowledge, texts: Mapping[str, str]
) -> WelfareRecord:
    """The record of a tank as of a moment, with its own `texts`."""
    # one name for each animal, the one that the household's own entries use
    needs = needs_of(snapshot, knowledge, own_names=True)
    days = period_of(snapshot, knowledge)
    people = _people(snapshot, texts)
    corrected, taken_back = _set_aside(session, snapshot.tank.id)
    return WelfareRecord(
        first=days.first,
        last=snapshot.today,
        needs=(
            _need("Environment", "A tank and water that suit them", needs, _ENVIRONMENT,
                  welfare_tank.environment(snapshot, days, knowledge)),
            _need("Diet", "Food that suits them, and not too much", needs, frozenset(),
                  welfare_tank.diet(snapshot, days)),
            _need("Behavior of their own kind", "Room and places to live as their kind does",
                  needs, _BEHAVIOR, welfare_animals.behavior(snapshot, needs)),
            _need("Company", "With their own kind, or apart where that suits them", needs,
                  _COMPANY, welfare_animals.company(needs)),
            _need("Protection from harm", "From pain, injury and illness", needs, frozenset(),
                  welfare_animals.protection(snapshot, days)),
        ),
        people=people.evidence,
        people_gaps=people.gaps,
        corrected=corrected,
        taken_back=taken_back,
    )  # fmt: skip


def _need(
    title: str, question: str, needs: Needs, kinds: frozenset[ClashKind], shown: Shown
) -> Need:
    return Need(
        title=title,
        question=question,
        evidence=shown.evidence,
        against=(*shown.against, *_against(needs.clashes, kinds)),
        gaps=shown.gaps,
    )


def _against(clashes: Sequence[Clash], kinds: frozenset[ClashKind]) -> tuple[str, ...]:
    return tuple(c.text for c in clashes if c.kind in kinds and c.level > ClashLevel.REMARK)


def _people(snapshot: TankSnapshot, texts: Mapping[str, str]) -> Shown:
    tank, shown = snapshot.tank, Shown()
    for label, name, phone in (
        ("Grown-up in charge", tank.adult, tank.adult_phone),
        ("Deputy", tank.deputy, tank.deputy_phone),
    ):
        shown.say(label, ", ".join(filter(None, (name, phone))), f"{label}: nobody is named.")
    _cover(snapshot, shown)
    shown.say(
        "Last contact with a veterinarian",
        texts.get(VET_CONTACT, ""),
        "Last contact with a veterinarian: not written.",
    )
    return shown


def _cover(snapshot: TankSnapshot, shown: Shown) -> None:
    breaks = coming(snapshot)
    if not breaks:
        shown.lack("Holiday cover: no coming break is written.")
    for each in breaks:
        days = f"{dated(each.away.first_day)} to {dated(each.away.last_day)}"
        name = f"{each.away.name}, {days}" if each.away.name else days
        if each.arranged is None:
            shown.lack(f"Holiday cover: nobody is named for {name}.")
        else:
            shown.say(f"Cover, {name}", each.arranged.note)


def _set_aside(session: Session, tank_id: int) -> tuple[int, int]:
    """How many entries were corrected, and how many taken back, since the record began."""
    rows = session.execute(
        select(Entry.status, func.count(Entry.id))
        .where(Entry.tank_id == tank_id, Entry.status != EntryStatus.OK.value)
        .group_by(Entry.status)
    )
    found = {row[0]: row[1] for row in rows}
    corrected, taken_back = EntryStatus.CORRECTED.value, EntryStatus.WITHDRAWN.value
    return found.get(corrected, 0), found.get(taken_back, 0)
