"""The food of a time without people: how long nothing comes, and what it adds to nitrate."""

from typing import Final

from app.domain.measures import net_volume
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import decimal, with_unit
from app.estimates.closure_model import Away, Moments, Part, Trouble, unknown
from app.estimates.food import protein_of
from app.estimates.missing import A_NITRATE_TEST, GRAMS_OF_A_MEAL, MEASURES
from app.estimates.model import NOT_MEASURED, Estimate, Input, Origin, Triple, exact, spread
from app.estimates.nitrate import Pace, pace_of
from app.estimates.nitrate_course import rise_of
from app.estimates.nitrate_forecast import expected_at, line_of
from app.estimates.nitrate_from_food import could_be
from app.knowledge.model import Knowledge
from app.science.nitrogen import days_until

_GAP: Final = "Longest time without food"
_ADDED: Final = "Nitrate from the food of the visits"


def visits_wanted(days: float, knowledge: Knowledge) -> int:
    """How many visits with food so many days want: one every other day, none in a few days.

    Source:
        A classroom project's page: over more than four days somebody feeds every other day.
    """
    if days < knowledge.value("breaks.plan-days"):
        return 0
    return int(days // knowledge.value("closure.feed-every"))


def grams_each(away: Away, snapshot: TankSnapshot) -> float | None:
    """Food at each visit: as typed, else one usual portion; None while no scoop was weighed."""
    tank = snapshot.tank
    if away.grams is not None:
        return away.grams
    return None if tank.scoop_grams is None else tank.scoop_grams * tank.plan.portion_scoops


def food(away: Away, snapshot: TankSnapshot, knowledge: Knowledge) -> Part:
    """The longest time without food, with the visits spread evenly."""
    gap, most = away.days / (away.visits + 1), knowledge.value("breaks.plan-days")
    grams = grams_each(away, snapshot)
    text = f"With {away.visits_text} nothing comes for {decimal(gap, 1)} days at the longest."
    if away.visits and grams is not None:
        packed = with_unit(decimal(away.visits * grams, 2), "g")
        text += f" Pack {packed} of food in all, weighed and in portions."
    fails = away.after(most) if gap >= most else None
    visits = exact("visits", "Visits with food", away.visits, "", origin=Origin.TYPED, decimals=0)
    return Part(
        trouble=Trouble.FOOD,
        estimate=Estimate(
            what=_GAP, unit="days", decimals=1, low=gap, best=gap, high=gap, sentence=text,
            inputs=(visits,),
        ),
        first=fails, likely=fails, last=fails,
        help=f"Plan about {visits_wanted(away.days, knowledge)} visits with weighed food.",
    )  # fmt: skip


def nitrate(away: Away, snapshot: TankSnapshot, knowledge: Knowledge, fallen_l: Triple) -> Part:
    """What the food of the visits adds to nitrate, and when that reaches the tank's line.

    Args:
        away: The time without people.
        snapshot: The record as it stands.
        knowledge: For the line and the ends.
        fallen_l: Water that is gone at the end in liters; what is left holds all the nitrate.

    Source:
        As the nitrate forecast: the food's nitrogen, and the part that this tank's tests show.
    """
    water, grams = net_volume(snapshot.tank.shape), grams_each(away, snapshot)
    missing: tuple[str, ...] = () if water is not None else (MEASURES,)
    if away.visits and grams is None:
        missing += (GRAMS_OF_A_MEAL,)
    if water is None or missing:
        return unknown(Trouble.NITRATE, _ADDED, "mg/L", missing)
    pace, line = pace_of(snapshot, knowledge), line_of(snapshot, knowledge)
    whole = away.visits * (grams or 0.0)
    rise = _rise(whole, water.net_l, pace, snapshot, knowledge)
    start = _start(away, pace, snapshot)
    fails = _fails(start, rise, line, away)
    back = _back(start, rise, water.net_l, fallen_l)
    return Part(
        trouble=Trouble.NITRATE,
        estimate=Estimate(
            what=_ADDED, unit="mg/L", decimals=1, low=rise.low, best=rise.best, high=rise.high,
            inputs=(
                exact("food", "Food at all visits", whole, "g", origin=Origin.TYPED, decimals=2),
                exact("volume", "Water in the tank", water.net_l, "L", origin=Origin.WRITTEN),
                protein_of(snapshot, knowledge),
                rise,
                *(() if start is None else (start,)),
            ),
            missing=() if start is not None else (A_NITRATE_TEST,),
            narrows_most="" if pace is not None and pace.from_tests else A_NITRATE_TEST,
            sentence=_sentence(rise, away, whole),
        ),
        first=fails[0], likely=fails[1], last=fails[2], back=back,
        help="Change water five to seven days before the first day.",
    )  # fmt: skip


def _rise(
    grams: float, net_l: float, pace: Pace | None, snapshot: TankSnapshot, knowledge: Knowledge
) -> Input:
    """Nitrate that the food adds: all of it, or the part that this tank's own tests show."""
    gross = rise_of(grams, net_l, protein_of(snapshot, knowledge).best / 100.0)
    fitted = pace is not None and pace.from_tests > 0 and pace.gross is not None
    if pace is not None and fitted:
        low, best, high = (max(part, 0.0) * gross for part in pace.weighed.pace(*pace.ends))
        note = "The part of the food that this tank’s tests show."
    else:
        low, best, high = could_be(gross, knowledge)
        note = "As if nobody took any: too few tests to tell."
    return Input(
        name="rise", title=_ADDED, low=low, best=best, high=high, unit="mg/L",
        origin=Origin.MEASURED if fitted else Origin.ASSUMED, note=note,
        source="timmons-ebeling-2013",
    )  # fmt: skip


def _start(away: Away, pace: Pace | None, snapshot: TankSnapshot) -> Input | None:
    """Nitrate on leaving: what is expected by then, else the last test, or None without one.

    A planned change counts when it is written: one that is overdue may never be done.
    """
    title, test = "Nitrate on leaving", snapshot.latest(Quantity.NITRATE)
    if pace is not None:
        then = expected_at(away.leaves, pace, snapshot, planned=False)
        return Input(
            name="start", title=title, low=then.low, best=then.best, high=then.high, unit="mg/L",
            decimals=0, origin=Origin.MEASURED if pace.from_tests else Origin.ASSUMED,
            note="By the nitrate forecast, if no water is changed before.",
        )  # fmt: skip
    if test is None:
        return None
    return Input(
        name="start", title=title, low=test.least, best=test.best,
        high=test.best if test.most is None else test.most, unit="mg/L", decimals=0,
        origin=Origin.MEASURED, at=test.at, note="The last test.",
    )  # fmt: skip


def _fails(start: Input | None, rise: Input, line: float, away: Away) -> Moments:
    """When nitrate reaches the line: soonest, likeliest, latest."""
    if start is None:
        return None, None, None
    ends = ((start.high, rise.high), (start.best, rise.best), (start.low, rise.low))
    first, likely, last = (
        away.after(days_until(begin, line, more / away.days)) for begin, more in ends
    )
    return first, likely, last


def _back(start: Input | None, rise: Input, net_l: float, fallen_l: Triple) -> Triple | None:
    """What a test would read on coming back: start and rise in the water that is left."""
    if start is None:
        return None
    left = [net_l / max(net_l - liters, net_l / 2.0) for liters in fallen_l]
    thicker = Input(
        name="thicker", title="Water that is left", low=left[0], best=left[1], high=left[2],
        origin=Origin.ASSUMED,
    )  # fmt: skip
    found = spread(lambda v: (v["start"] + v["rise"]) * v["thicker"], (start, rise, thicker))
    return max(found.low, 0.0), found.best, found.high


def _sentence(rise: Input, away: Away, grams: float) -> str:
    if not grams:
        return f"Nobody feeds, so that no food adds to nitrate: {NOT_MEASURED}."
    low, high = decimal(rise.low, 1), with_unit(decimal(rise.high, 1), "mg/L")
    return (
        f"{away.visits_text} with {with_unit(decimal(grams, 2), 'g')} of food in all "
        f"{'adds' if away.visits == 1 else 'add'} about "
        f"{with_unit(decimal(rise.best, 1), 'mg/L')} of nitrate; it may be {low} to {high}: "
        f"{NOT_MEASURED}."
    )
