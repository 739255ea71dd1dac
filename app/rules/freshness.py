"""How long a look, a count or a reading tells about the tank.

Quantities that matter, for the overall state: the look always; temperature, ammonia, nitrite,
nitrate and pH once the tank holds animals or has been tested for them. KH, GH, oxygen, chlorine
and the head count are shown with their age and do not change the state: many households have no
kit for them, and a state that could never be Steady would soon be ignored.

A reading from a doubtful kit freshens nothing. A logger's temperature is a temperature but no
look.
"""

from datetime import date, datetime, timedelta
from typing import Final

from app.domain.calendar import day_start, local_day, next_midnight, somebody_comes
from app.domain.quantities import FACTS, Quantity
from app.domain.snapshot import TankSnapshot, last, last_where
from app.domain.tank import Site, Tank
from app.domain.wording import count, in_sentence
from app.knowledge.model import Knowledge
from app.rules.model import Freshness

LOOK: Final = "look"
COUNT: Final = "count"
MATTER: Final = (
    Quantity.TEMPERATURE,
    Quantity.AMMONIA,
    Quantity.NITRITE,
    Quantity.NITRATE,
    Quantity.PH,
)
_DAYS_KEY: Final = {
    Quantity.NITRATE: "keeps.nitrate-days",
    Quantity.PH: "keeps.ph-days",
    Quantity.KH: "keeps.hardness-days",
    Quantity.GH: "keeps.hardness-days",
}
_THEIR_DAY: Final = (Quantity.OXYGEN, Quantity.CHLORINE)
_LONGEST_BREAK_DAYS: Final = 120


def freshness(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Freshness, ...]:
    """The age and shelf life of the look, the count, what matters, and what was ever tested."""
    rows = [look_freshness(snapshot, knowledge), count_freshness(snapshot, knowledge)]
    rows += [
        reading_freshness(snapshot, quantity, knowledge)
        for quantity in (*MATTER, Quantity.KH, Quantity.GH, *_THEIR_DAY)
        if quantity in MATTER or snapshot.of(quantity)
    ]
    return tuple(rows)


def look_freshness(snapshot: TankSnapshot, knowledge: Knowledge) -> Freshness:
    """When somebody last looked, and until when that look counts."""
    look = last(snapshot.observations)
    taken = look.happened_at if look else None
    return Freshness(
        name=LOOK,
        label="Look",
        taken_at=taken,
        keeps_until=None if taken is None else _present_end(taken, snapshot.site, knowledge),
        keeps_words="A look keeps through its day, and on through days when nobody comes.",
    )


def count_freshness(snapshot: TankSnapshot, knowledge: Knowledge) -> Freshness:
    """When the animals were last counted, and until when that count counts."""
    counted = snapshot.last_counted
    taken = counted.happened_at if counted else None
    days = int(knowledge.value("keeps.count-days"))
    return Freshness(
        name=COUNT,
        label="Fish counted",
        taken_at=taken,
        keeps_until=None if taken is None else _after_present_days(taken, snapshot.site, days),
        keeps_words=f"A count keeps {count(days, 'day', 'days')} on which somebody comes.",
    )


def reading_freshness(
    snapshot: TankSnapshot, quantity: Quantity, knowledge: Knowledge
) -> Freshness:
    """When a quantity was last measured with a kit in date, and until when that counts."""
    sound = last_where(snapshot.of(quantity), lambda r: not r.kit_doubtful)
    taken = sound.at if sound else None
    label = FACTS[quantity].label
    if quantity is Quantity.TEMPERATURE:
        until = None if taken is None else _present_end(taken, snapshot.site, knowledge)
        words = "A temperature keeps through its day, and on through days when nobody comes."
    elif quantity in _THEIR_DAY:
        until = None if taken is None else next_midnight(taken, snapshot.site.zone)
        words = f"{label} keeps for its day."
    else:
        days = shelf_days(snapshot, quantity, knowledge)
        until = None if taken is None else taken + timedelta(days=days)
        words = f"A test of {in_sentence(label)} keeps {count(days, 'day', 'days')}."
    return Freshness(
        name=quantity.value, label=label, taken_at=taken, keeps_until=until, keeps_words=words
    )


def shelf_days(snapshot: TankSnapshot, quantity: Quantity, knowledge: Knowledge) -> int:
    """How many days a test of a quantity keeps in this tank."""
    key = _DAYS_KEY.get(quantity)
    if key is None:
        old = keeps_long(snapshot.tank, snapshot.today, knowledge)
        key = "keeps.mature-days" if old else "keeps.young-days"
    return int(knowledge.value(key))


def is_mature(tank: Tank, today: date) -> bool:
    """Whether somebody has written that the filter has grown up."""
    return tank.mature_on is not None and tank.mature_on <= today


def keeps_long(tank: Tank, today: date, knowledge: Knowledge) -> bool:
    """Whether the filter is grown up and the tank at least eight weeks old, as far as known."""
    youngest = timedelta(days=knowledge.value("keeps.mature-after-days"))
    old_enough = tank.started_on is None or today - tank.started_on >= youngest
    return is_mature(tank, today) and old_enough


def matters(snapshot: TankSnapshot, name: str) -> bool:
    """Whether a stale row of this name keeps the tank from being Steady."""
    if name == LOOK:
        return True
    if name not in {q.value for q in MATTER}:
        return False
    return snapshot.expected_fish > 0 or bool(snapshot.of(Quantity(name)))


def _present_end(taken: datetime, site: Site, knowledge: Knowledge) -> datetime:
    """The end of the local day and of the absent days that follow, with the hours' bound."""
    day = local_day(taken, site.zone) + timedelta(days=1)
    bound = taken + timedelta(hours=knowledge.value("keeps.look-hours"))
    while not somebody_comes(site, day) and day_start(day, site.zone) < bound:
        day += timedelta(days=1)
    return min(day_start(day, site.zone), bound)


def _after_present_days(taken: datetime, site: Site, days: int) -> datetime:
    """The end of the last of so many days on which somebody comes, after the day itself."""
    day = local_day(taken, site.zone)
    left = days
    for _ in range(_LONGEST_BREAK_DAYS):
        if left == 0:
            break
        day += timedelta(days=1)
        left -= somebody_comes(site, day)
    return day_start(day + timedelta(days=1), site.zone)
