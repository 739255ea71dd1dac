"""The first two needs of a welfare record: the tank with its water, and the food."""

from typing import Final

from app.domain.calendar import local_day
from app.domain.entry_words import scoop_words
from app.domain.measures import net_volume
from app.domain.quantities import FACTS, Quantity
from app.domain.records import JobKind
from app.domain.series import Band
from app.domain.snapshot import TankSnapshot
from app.domain.wording import (
    count,
    dated,
    decimal,
    range_text,
    reading_text,
    short,
    volume_text,
    with_unit,
)
from app.knowledge.model import Knowledge
from app.services.papers.welfare_lines import Period, Shown
from app.services.ranges import ranges_of

_TESTED: Final = (Quantity.AMMONIA, Quantity.NITRITE, Quantity.NITRATE, Quantity.PH)
_COVERS: Final = {"closed": "closed", "gap": "closed, with a gap", "open": "open"}


def environment(snapshot: TankSnapshot, days: Period, knowledge: Knowledge) -> Shown:
    """Volume, warmth and tests against our ranges, light, water changes."""
    shown, tank = Shown(), snapshot.tank
    net = net_volume(tank.shape)
    volume = f"{volume_text(snapshot.site, net.net_l)}, worked out from the measures" if net else ""
    shown.say("Water volume (net)", volume, "The water volume: the tank is not measured.")
    ranges = ranges_of(snapshot, knowledge)
    _warmth(snapshot, days, ranges.get(Quantity.TEMPERATURE), shown)
    for quantity in _TESTED:
        _test(snapshot, days, ranges.get(quantity), quantity, shown)
    changes = [j for j in snapshot.jobs_of(JobKind.WATER_CHANGE) if days.holds(j.local_day)]
    last = f"{len(changes)}, the last on {dated(changes[-1].local_day)}" if changes else ""
    shown.say("Water changes", last, f"No water change is written in {days.words}.")
    light = with_unit(short(tank.light_hours), "h a day") if tank.light_hours else ""
    shown.say("Light", light, "How long the light is on is not written.")
    shown.say("Cover", _COVERS.get(tank.cover, ""), "How the tank is covered is not written.")
    return shown


def _warmth(snapshot: TankSnapshot, days: Period, ours: Band | None, shown: Shown) -> None:
    zone, site = snapshot.site.zone, snapshot.site
    read = [r for r in snapshot.of(Quantity.TEMPERATURE) if days.holds(local_day(r.at, zone))]
    if not read:
        shown.lack(f"No temperature is written in {days.words}.")
        return
    on = {local_day(r.at, zone) for r in read}
    tops = [r.best if r.most is None else r.most for r in read]
    spread = range_text(Quantity.TEMPERATURE, min(r.least for r in read), max(tops), site)
    many = f"{count(len(read), 'reading', 'readings')} on {count(len(on), 'day', 'days')}"
    shown.say("Temperature", f"{spread}, {many}")
    outside = sum(not _inside(r.best, ours) for r in read)
    if outside:
        shown.object(f"Temperature outside our range: {outside} of {len(read)} readings.")
    lacking = len(days.present - on)
    if lacking:
        of = f"{lacking} of the {count(len(days.present), 'day', 'days')}"
        shown.lack(f"On {of} on which somebody was meant to come, no temperature is written.")


def _inside(value: float, ours: Band | None) -> bool:
    if ours is None:
        return True
    is_low = ours.low is not None and value < ours.low
    return not is_low and (ours.high is None or value <= ours.high)


def _test(
    snapshot: TankSnapshot,
    days: Period,
    ours: Band | None,
    quantity: Quantity,
    shown: Shown,
) -> None:
    label, last = FACTS[quantity].label, snapshot.latest(quantity)
    if last is None:
        shown.lack(f"{label}: never tested.")
        return
    day = local_day(last.at, snapshot.site.zone)
    if not days.holds(day):
        shown.lack(f"{label}: not tested since {dated(day)}.")
        return
    shown.say(label, f"{reading_text(last, snapshot.site)}, on {dated(day)}")
    if not _inside(last.best, ours):
        shown.object(f"{label} was outside our range at the last test.")


def diet(snapshot: TankSnapshot, days: Period) -> Shown:
    """What is planned, what was given, and what a scoop weighs."""
    shown, plan = Shown(), snapshot.tank.plan
    often = count(len(plan.feed_weekdays), "day", "days")
    shown.say("Planned", f"{scoop_words(plan.portion_scoops)} on {often} of the week")
    planned = frozenset(d for d in days.present if d.weekday() in plan.feed_weekdays)
    meals = [f for f in snapshot.feedings if days.holds(f.local_day)]
    fed = {meal.local_day for meal in meals}
    shown.say(
        "Fed", f"on {len(planned & fed)} of {count(len(planned), 'planned day', 'planned days')}"
    )
    _unwritten_meals(len(planned - fed), shown)
    twice = len(meals) - len(fed)
    if twice > 0:
        shown.object(f"More than one meal a day: {count(twice, 'time', 'times')}.")
    grams = snapshot.tank.scoop_grams
    weighed = with_unit(decimal(grams, 2), "g") if grams else ""
    shown.say("One flat scoop weighs", weighed, "What a scoop weighs was never measured.")
    leftovers = sum(1 for meal in meals if meal.left_over)
    if leftovers:
        shown.object(f"Food was left over {count(leftovers, 'time', 'times')}.")
    return shown


def _unwritten_meals(lacking: int, shown: Shown) -> None:
    if lacking:
        days = count(lacking, "planned day", "planned days")
        shown.lack(f"No meal is written for {days}. It may have been given all the same.")
