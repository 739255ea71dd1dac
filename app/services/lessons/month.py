"""The lesson maker: what the readings of a month show, and the sheet that is made of it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from sqlalchemy.orm import Session

from app.charts import unlabeled
from app.charts.days import clock_words, day_words
from app.domain import features
from app.domain.calendar import local_day, somebody_comes
from app.domain.errors import NotFound
from app.domain.features import Change, Feature, FeatureKind, Limits
from app.domain.measures import net_volume
from app.domain.quantities import FACTS
from app.domain.snapshot import TankSnapshot
from app.domain.wording import count, in_sentence, listed
from app.knowledge.model import Knowledge
from app.services.lessons.day_questions import gap_questions, hole_questions
from app.services.lessons.found import Found
from app.services.lessons.level_questions import settle_questions, step_questions, trend_questions
from app.services.lessons.model import Filled, Question, Table
from app.services.lessons.number_questions import outlier_questions, reader_questions
from app.services.lessons.numbers import rounded
from app.services.lessons.rows import MonthOf, month_end, month_rows
from app.storage.queries import lessons

_QUESTIONS: Final[dict[FeatureKind, Callable[[Found], tuple[Question, ...]]]] = {
    FeatureKind.OUTLIER: outlier_questions,
    FeatureKind.READERS: reader_questions,
    FeatureKind.STEP: step_questions,
    FeatureKind.HOLES: hole_questions,
    FeatureKind.GAP: gap_questions,
    FeatureKind.SETTLES: settle_questions,
    FeatureKind.TREND: trend_questions,
}
_CLEAR_ENOUGH: Final = 3.0
"""More times its limit than this makes no feature clearer to a pupil."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Month:
    """What a month shows, the best for a lesson first; `lacking` says what is missing if nothing.

    `first` is the first day of the month.
    """

    first: date
    found: tuple[Found, ...]
    lacking: tuple[str, ...]


def months(session: Session, snapshot: TankSnapshot) -> tuple[date, ...]:
    """The first days of all months since the first reading, the newest first."""
    zone = snapshot.site.zone
    oldest = lessons.first_reading_at(session, snapshot.tank.id)
    if oldest is None:
        return (snapshot.today.replace(day=1),)
    found = [local_day(oldest, zone).replace(day=1)]
    while (following := month_end(found[-1])) <= snapshot.today:
        found.append(following)
    return tuple(reversed(found))


def look(session: Session, snapshot: TankSnapshot, knowledge: Knowledge, first: date) -> Month:
    """What the readings of a month show.

    Args:
        session: Nothing is written.
        snapshot: The tank now.
        knowledge: From where on something is a feature.
        first: Any day of the month.
    """
    first = first.replace(day=1)
    most = int(knowledge.value("lesson.most-rows"))
    read = month_rows(session, snapshot, first, month_end(first), most)
    changes = _changes(session, snapshot, read)
    found = [each for one in read for each in _found(one, snapshot, knowledge, changes)]
    order = list(FeatureKind)
    found.sort(key=lambda f: (-min(f.feature.strength, _CLEAR_ENOUGH), order.index(f.feature.kind)))
    return Month(
        first=first, found=tuple(found), lacking=() if found else _lacking(read, knowledge)
    )


def newest(session: Session, snapshot: TankSnapshot, knowledge: Knowledge) -> Month:
    """What this month shows; while it shows nothing yet, what the month before did."""
    this, *before = months(session, snapshot)[:2]
    seen = look(session, snapshot, knowledge, this)
    if seen.found or not before:
        return seen
    earlier = look(session, snapshot, knowledge, before[0])
    return earlier if earlier.found else seen


def one(
    session: Session, snapshot: TankSnapshot, knowledge: Knowledge, first: date, key: str
) -> Found:
    """One feature of a month, by its key.

    Raises:
        NotFound: If the month does not show it (any more).
    """
    for found in look(session, snapshot, knowledge, first).found:
        if found.key == key:
            return found
    raise NotFound("The readings of this month do not show that. Choose a lesson again.")


def sheet(found: Found) -> Filled:
    """The sheet of a feature: its chart without words, its table, and its three questions."""
    return Filled(
        tables=(found.month.table(), *_changes_table(found)),
        svg=unlabeled.draw(found.month.series(), "lesson-chart"),
        questions=_QUESTIONS[found.feature.kind](found),
    )


def _changes_table(found: Found) -> tuple[Table, ...]:
    """The month's water changes, where the questions ask for them."""
    if found.feature.kind is not FeatureKind.SETTLES:
        return ()
    zone = found.month.zone
    rows = tuple(
        (
            day_words(local_day(each.at, zone)),
            clock_words(each.at, zone),
            rounded(each.share * 100.0, 0),
        )
        for each in found.changes
    )
    columns = ("Day", "Time", "Parts of 100 swapped")
    return (Table(caption="Water changes", columns=columns, rows=rows, numbers=(2,)),)


def _changes(
    session: Session, snapshot: TankSnapshot, read: Sequence[MonthOf]
) -> tuple[Change, ...]:
    water = net_volume(snapshot.tank.shape)
    if water is None or not read:
        return ()
    poured = lessons.changes(session, snapshot.tank.id, read[0].start, read[0].end)
    return tuple(Change(each.at, each.liters / water.net_l) for each in poured)


def _found(
    one: MonthOf, snapshot: TankSnapshot, knowledge: Knowledge, changes: tuple[Change, ...]
) -> list[Found]:
    site, rows, limits = snapshot.site, one.rows, limits_of(one, knowledge)
    kept = site.tap_value(one.quantity)
    tap = None if kept is None else one.unit.from_kept(kept)
    looked: tuple[Feature | None, ...] = (
        features.outlier(rows, limits),
        features.readers(rows, limits),
        features.step(rows, limits),
        features.holes(rows, limits, lambda day: somebody_comes(site, day)),
        features.gap(rows, limits),
        features.settles(rows, changes, tap, limits),
        features.trend(rows, limits),
    )
    return [Found(each, one, tap, changes) for each in looked if each is not None]


def limits_of(one: MonthOf, knowledge: Knowledge) -> Limits:
    """From where on something counts, with the last digit that the quantity is shown with."""
    value = knowledge.value
    return Limits(
        resolution=10.0**-one.decimals,
        rows=int(value("lesson.rows")),
        gap_days=int(value("lesson.gap-days")),
        holes=int(value("lesson.holes")),
        outlier=value("lesson.outlier"),
        step_side=int(value("lesson.step-side")),
        step_size=value("lesson.step-size"),
        step_fit=value("lesson.step-fit") / 100.0,
        readers=int(value("lesson.readers")),
        pairs=int(value("lesson.pairs")),
        share_apart=value("lesson.share-apart") / 100.0,
        confidence=value("lesson.confidence") / 100.0,
    )


def _lacking(read: Sequence[MonthOf], knowledge: Knowledge) -> tuple[str, ...]:
    """What stands in the month, and what would make a lesson of it."""
    rows, pupils = (int(knowledge.value(key)) for key in ("lesson.rows", "lesson.readers"))
    if not read:
        there = "No reading stands in this month."
    else:
        parts = [f"{len(each.rows)} of {in_sentence(FACTS[each.quantity].label)}" for each in read]
        there = f"Readings in this month: {listed(parts)}."
    if any(len(each.rows) >= rows for each in read):
        there = f"{there} They are calm: no gap, no step, no trend, none far off."
    enough = f"{count(rows, 'reading', 'readings')} of one kind on different days are enough"
    return (
        there,
        f"{enough} to look for more. The temperature takes a minute a day.",
        f"One tube that {pupils} pupils read makes a lesson at once.",
        "Two nitrate tests with one water change between them, twice, tell where it settles.",
    )
