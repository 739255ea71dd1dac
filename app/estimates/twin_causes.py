"""Why a reading may not fit what was expected: the likeliest causes, ranked by the record."""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from app.domain.calendar import local_day
from app.domain.quantities import FACTS, Quantity, Unit
from app.domain.records import JobKind, StockEventKind
from app.domain.snapshot import TankSnapshot, last
from app.domain.wording import count, in_sentence, short, value_text, with_unit
from app.estimates.twin import Compared, Fit
from app.knowledge.model import Knowledge

WASTE: Final = (Quantity.AMMONIA, Quantity.NITRITE, Quantity.NITRATE)
_BUFFERED: Final = (Quantity.KH, Quantity.GH, Quantity.PH)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """One cause, and what speaks for it in the record; "" where it is only usual."""

    what: str
    written: str = ""


def causes(found: Compared, snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Cause, ...]:
    """The causes of a reading that does not fit: those the record speaks for come first."""
    if found.fit is Fit.FITS:
        return ()
    named = [cause for look in _LOOKS if (cause := look(found, snapshot, knowledge)) is not None]
    return tuple(sorted(named, key=lambda cause: not cause.written))


def most_useful(found: Compared) -> str:
    """What to test next, and why, in one sentence."""
    again = _again(found.reading.quantity)
    if found.reading.quantity is Quantity.NITRATE and found.fit is Fit.MORE:
        return f"{again}. Then test ammonia: a dead fish shows there first."
    if found.reading.quantity is Quantity.PH:
        return f"{again}. Then test KH: it is what holds the pH."
    if found.reading.quantity is Quantity.AMMONIA and found.fit is Fit.MORE:
        return f"{again}. Then test pH: it tells how much of the ammonia can hurt."
    return f"{again}."


def _again(quantity: Quantity) -> str:
    if quantity is Quantity.TEMPERATURE:
        return "Read the warmth once more, with another thermometer"
    return f"Test {in_sentence(FACTS[quantity].label)} once more, with a fresh tube"


def _slip(found: Compared, snapshot: TankSnapshot, _: Knowledge) -> Cause | None:
    """The typed number would fit in another unit or on another basis, or with its point moved."""
    reading, facts = found.reading, FACTS[found.reading.quantity]
    kept = facts.units[0]
    typed = next(
        (u for u in facts.units if (u.symbol, u.basis) == (reading.unit, reading.basis)), kept
    )
    number = typed.from_kept(reading.best)
    for unit in facts.units:
        if unit is not typed and found.fits_at(unit.to_kept(number)):
            meant = with_unit(short(round(number, 2)), _unit_text(unit))
            value = value_text(reading.quantity, unit.to_kept(number), snapshot.site)
            return Cause(
                what="The unit was mixed up.", written=f"{meant} would be {value}, and that fits."
            )
    for shifted in (number * 10.0, number / 10.0):
        if shifted and found.fits_at(typed.to_kept(shifted)):
            meant = with_unit(short(round(shifted, 3)), _unit_text(typed))
            return Cause(what="The point slipped.", written=f"{meant} would fit.")
    return None


def _unit_text(unit: Unit) -> str:
    return f"{unit.symbol} ({unit.basis})" if unit.basis else unit.symbol


def _kit(found: Compared, snapshot: TankSnapshot, knowledge: Knowledge) -> Cause | None:
    """The kit is old, past its date, or was off against something known."""
    reading = found.reading
    kit = next((k for k in snapshot.kits if k.id == reading.kit_id), None)
    written, read_on = "", local_day(reading.at, snapshot.site.zone)
    if kit is not None and kit.expires_on is not None and kit.expires_on < read_on:
        written = f"{kit.name} is past its date."
    elif reading.kit_doubtful:
        written = "The kit was off when it was checked."
    elif kit is not None and kit.opened_on is not None:
        days = (read_on - kit.opened_on).days
        if days > knowledge.value("kit.opened-days"):
            written = f"{kit.name} was opened {count(days, 'day', 'days')} before."
    return Cause(what="The kit is old, or the tube was not shaken or timed well.", written=written)


def _missing(found: Compared, snapshot: TankSnapshot, knowledge: Knowledge) -> Cause | None:
    """A body that nobody found makes waste."""
    if found.reading.quantity not in WASTE or found.fit is not Fit.MORE:
        return None
    counted, written = snapshot.last_counted, ""
    lost = last([
        e for e in snapshot.stock_events
        if e.what is StockEventKind.MISSING and e.happened_at >= _since(found, knowledge)
    ])  # fmt: skip
    if counted is not None and counted.happened_at >= _since(found, knowledge):
        expected = snapshot.expected_fish if counted.expected is None else counted.expected
        if counted.seen is not None and counted.seen < expected:
            written = f"The last count saw {counted.seen} of {expected}."
    if not written and lost is not None:
        written = f"{count(lost.count, 'animal is', 'animals are')} written as missing."
    return Cause(what="A dead fish lies where nobody sees it.", written=written)


def _food(found: Compared, snapshot: TankSnapshot, knowledge: Knowledge) -> Cause | None:
    """More food went in than was written: two meals a day and many hands make it likely."""
    if found.reading.quantity not in WASTE or found.fit is not Fit.MORE:
        return None
    since, until = _since(found, knowledge), found.reading.at
    meals = [f for f in snapshot.feedings if since <= f.happened_at <= until]
    twice = sum(number > 1 for number in Counter(f.local_day for f in meals).values())
    hands = len({f.hands for f in meals if f.hands})
    said = []
    if twice:
        said.append(f"On {count(twice, 'day', 'days')} two meals or more are written.")
    if any(f.left_over for f in meals):
        said.append("Food was left over.")
    if hands >= knowledge.value("twin.many-hands"):
        said.append(f"{hands} people fed.")
    return Cause(what="More food went in than was written.", written=" ".join(said))


def _change(found: Compared, snapshot: TankSnapshot, knowledge: Knowledge) -> Cause | None:
    """Water was changed and nobody wrote it, or less than was written."""
    quantity, more = found.reading.quantity, found.fit is Fit.MORE
    if quantity in _BUFFERED:
        return Cause(what="Water was changed, or something was put in, and nobody wrote it.")
    if quantity is not Quantity.NITRATE:
        return None
    since = _since(found, knowledge)
    written = [j for j in snapshot.jobs_of(JobKind.WATER_CHANGE) if j.happened_at >= since]
    if more:
        return Cause(what="A water change was smaller than written.") if written else None
    said = "" if written else "No water change is written in these weeks."
    return Cause(what="Water was changed and nobody wrote it.", written=said)


def _plants(found: Compared, snapshot: TankSnapshot, knowledge: Knowledge) -> Cause | None:
    """Plants took more, or what was trimmed takes nothing now."""
    if found.reading.quantity is not Quantity.NITRATE:
        return None
    more = found.fit is Fit.MORE
    kinds = (JobKind.TRIM, JobKind.PLANT_REMOVED) if more else (JobKind.PLANTED,)
    jobs = [j for j in snapshot.jobs_of(*kinds) if j.happened_at >= _since(found, knowledge)]
    if not jobs:
        return None
    said = "Plants were trimmed or taken out." if more else "Plants were put in."
    return Cause(what="The plants take less." if more else "The plants take more.", written=said)


_LOOKS: Final[tuple[Callable[[Compared, TankSnapshot, Knowledge], Cause | None], ...]] = (
    _slip, _missing, _food, _change, _plants, _kit,
)  # fmt: skip


def _since(found: Compared, knowledge: Knowledge) -> datetime:
    return found.reading.at - timedelta(days=knowledge.value("twin.causes-days"))
