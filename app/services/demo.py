"""The demo: an invented home with two tanks and 18 months of their life.

The facts lie in `demo_data`; everything is written by the services that the pages use, each
entry at its own moment, and all of it in one transaction.
"""

import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from sqlalchemy.orm import Session

from app import resources
from app.domain.calendar import local_day
from app.domain.drafts import NewMeal
from app.domain.errors import Refused
from app.domain.kit import Kit, KitFacts, SupplyFacts
from app.domain.quantities import Quantity
from app.domain.tank import CarePlan, DayKind, Setback, TankFacts, TankShape
from app.services import (
    care_plans,
    demo_picture,
    entries,
    equipment,
    kits,
    meals,
    photos,
    sites,
    supplies,
    tanks,
)
from app.services.access import sign_ins
from app.services.access.people import Visitor
from app.services.ahead import ledger
from app.services.comparisons import ComparisonDraft, compare_kit
from app.services.demo_guesses import PlannedRound, guess_all, planned_rounds
from app.services.demo_story import Planned, Setting, TankStory
from app.services.demo_water import DemoKit
from app.services.entries import Stamp
from app.services.livestock import animals, plants
from app.services.photos import PhotoFacts
from app.services.school import rota, school_days, setbacks, tiles
from app.services.transaction import one_transaction
from app.storage.engine import Database
from app.storage.file import Progress, no_progress

_FRIDAY, _A_WEEK = 4, 7
TANK_FILES = ("household.toml", "class.toml")
_ALWAYS = 10_000
_CORRECTED_AFTER = timedelta(hours=4)
_UNDONE_AFTER = timedelta(seconds=14)
# so far back forecasts are kept: a ledger that can be read, and a demo that is made quickly
_FORECAST_BACK = {Quantity.NITRATE: timedelta(days=120), Quantity.TEMPERATURE: timedelta(days=21)}

Facts = dict[str, Any]


@dataclass(frozen=True, slots=True)
class _Cast:
    """Who writes: the adult's author, the tiles by nickname, and the adult as a visitor."""

    adult: Visitor
    tiles: dict[str, int]


def facts_of(name: str) -> Facts:
    """The facts in one file of `demo_data`."""
    return tomllib.loads((resources.demo_data() / name).read_text("utf-8"))


def load(
    database: Database, *, now: datetime, zone: str = "UTC", progress: Progress = no_progress
) -> None:
    """Fill an empty record with the demo, all of it or nothing.

    Args:
        database: A record without tanks.
        now: The moment the demo's days are counted back from.
        zone: The time zone of the invented home.
        progress: Called with (entries written, entries in all).

    Raises:
        Refused: If the record holds a tank already.
    """
    with database.writing() as session:
        if tanks.tank_lines(session):
            raise Refused("This record holds a tank. The demo goes into an empty one.")
        with one_transaction(session):
            _fill(session, now, zone, progress)


def _fill(session: Session, now: datetime, zone: str, progress: Progress) -> None:
    place = facts_of("place.toml")
    setting = _set_up_place(session, place, now, zone)
    _stock_shelf(session, place, setting)
    cast = _cast(session, place, now)
    stories: list[tuple[int, list[Planned]]] = []
    rounds: list[PlannedRound] = []
    tanks_made: list[tuple[int, Facts]] = []
    for name in TANK_FILES:
        facts = facts_of(name)
        tank_id, groups = _set_up_tank(session, facts, setting)
        tanks_made.append((tank_id, facts))
        rounds += planned_rounds(tank_id, facts, setting)
        stories.append((tank_id, TankStory(facts, setting, groups).entries()))
    planned = [(tank_id, entry) for tank_id, found in stories for entry in found]
    planned.sort(key=lambda pair: pair[1].recorded_at)
    rounds.sort(key=lambda each: each.at)
    for number, (tank_id, entry) in enumerate(planned):
        while rounds and rounds[0].at < entry.recorded_at:
            guess_all(session, rounds.pop(0), cast.adult, cast.tiles)
        _write(session, tank_id, entry, f"demo-{number}", cast)
        if _lets_forecast(entry, now):
            ledger.note(session, tank_id, now=entry.recorded_at)
        progress(number + 1, len(planned))
    for tank_id, facts in tanks_made:
        _add_photos(session, tank_id, facts, setting, cast)
    monday = rota.monday_of(setting.today)
    for week in (monday, monday + timedelta(days=7)):
        rota.plan_week(session, tiles.FIRST_CLASS, week, today=setting.today)


def _set_up_place(session: Session, place: Facts, now: datetime, zone: str) -> Setting:
    today = local_day(now, zone)
    sites.set_site(
        session,
        sites.SiteDraft(
            name=place["name"],
            zone=zone,
            present_weekdays=frozenset(place["present_weekdays"]),
            chloramine=place["chloramine"],
            elevation_m=place["elevation_m"],
        ),
    )
    breaks = tuple((b["first"], b["last"]) for b in place["breaks"])
    for fact in place["breaks"]:
        first, last = (today - timedelta(days=fact[end]) for end in ("first", "last"))
        school_days.add(session, sites.FIRST, first, last, fact["name"])
    _look_ahead(session, place, today)
    for name, value in place["tap"].items():
        sites.set_tap(session, sites.FIRST, Quantity(name), value, today - timedelta(days=40))
    return Setting(
        today=today,
        zone=zone,
        now=now,
        breaks=breaks,
        weekend_without=place["weekend_without"],
        kits=_add_kits(session, place, lambda ago: today - timedelta(days=ago)),
        tap_nitrate=place["tap"]["nitrate"],
    )


def _look_ahead(session: Session, place: Facts, today: date) -> None:
    """Days out of the ordinary that come, each on a school day, and hours with less heating."""
    for fact in place["days_ahead"]:
        day = today + timedelta(days=fact["ahead"])
        day += timedelta(days=max(0, _A_WEEK - day.weekday()) if day.weekday() > _FRIDAY else 0)
        kind = DayKind(fact["kind"])
        school_days.add(session, sites.FIRST, day, day, fact["name"], kind=kind)
    for fact in place["setbacks"]:
        hours = Setback(
            weekdays=frozenset(fact["weekdays"]),
            starts=time.fromisoformat(fact["starts"]),
            ends=time.fromisoformat(fact["ends"]),
            room_c=fact["room_c"],
        )
        setbacks.add(session, sites.FIRST, hours)


def _add_photos(
    session: Session, tank_id: int, facts: Facts, setting: Setting, cast: _Cast
) -> None:
    for number, fact in enumerate(facts["photos"]):
        photos.add(
            session,
            tank_id,
            photos.read(demo_picture.drawn(fact["grown"])),
            PhotoFacts(
                taken_at=setting.at(fact["ago"], fact["at"]),
                spot=fact["spot"],
                caption=fact["caption"],
            ),
            author_id=cast.adult.author_id,
            shown=True,
            token=f"demo-photo-{tank_id}-{number}",
            now=setting.now,
        )


def _add_kits(session: Session, place: Facts, day: Callable[[int], Any]) -> tuple[DemoKit, ...]:
    ids = {}
    for fact in place["kits"]:
        draft = KitFacts(
            quantity=Quantity(fact["quantity"]),
            name=fact["name"],
            unit=fact["unit"],
            basis=fact.get("basis", ""),
            lot=fact.get("lot", ""),
            steps=tuple(fact.get("steps", ())),
            opened_on=day(fact["opened"]),
            expires_on=day(fact["expires"]) if "expires" in fact else None,
        )
        ids[kits.add_kit(session, sites.FIRST, draft)] = fact
    known = tuple(_demo_kit(kit, ids[kit.id]) for kit in kits.kits(session, sites.FIRST))
    for kit_id, fact in ids.items():
        if "retired" in fact:
            kits.retire_kit(session, kit_id, day(fact["retired"]))
    return known


def _demo_kit(kit: Kit, fact: Facts) -> DemoKit:
    # a bottle that ran out was followed by the same kit: only a change of card is told
    return DemoKit(fact["key"], kit, fact.get("first", _ALWAYS), fact.get("retired", -1))


def _cast(session: Session, place: Facts, now: datetime) -> _Cast:
    # the adult comes to be with the first link, which nobody is told
    token = sign_ins.use_link(session, sign_ins.make_link(session, now=now), now=now)
    adult = sign_ins.visitor_of(session, token, now=now)
    if adult is None:
        raise Refused("The demo’s adult could not be made.")
    made = tiles.add_helpers(session, place["helpers"])
    sign_ins.end_session(session, adult, now=now)
    return _Cast(adult, dict(zip(place["helpers"], made, strict=True)))


def _set_up_tank(session: Session, facts: Facts, setting: Setting) -> tuple[int, dict[str, int]]:
    tank_id = tanks.add_tank(
        session,
        TankFacts(
            name=facts["name"],
            setting=facts["setting"],
            shape=TankShape(**facts["shape"]),
            started_on=setting.day(facts["started"]),
            mature_on=setting.day(facts["mature"]),
            light_on=facts["light_on"],
            light_hours=facts["light_hours"],
            **facts["place"],
        ),
    )
    plan = {**facts["plan"], "feed_weekdays": frozenset(facts["plan"]["feed_weekdays"])}
    care_plans.set_plan(session, tank_id, CarePlan(**plan))
    for name, (low, high) in facts["ranges"].items():
        tanks.set_range(session, tank_id, Quantity(name), low, high, set_by=facts["place"]["adult"])
    scoop = facts["scoop"]
    weighed = setting.at(scoop["ago"], "12:00")
    tanks.weigh_scoop(session, tank_id, scoop["grams"], scoop["scoops"], now=weighed)
    groups = {
        group["name"]: animals.add_group(
            session, tank_id, group["name"], group["band"], group["adult_cm"],
            species=group["species"],
        )
        for group in facts["groups"]
    }  # fmt: skip
    _furnish(session, tank_id, facts, setting)
    return tank_id, groups


def _furnish(session: Session, tank_id: int, facts: Facts, setting: Setting) -> None:
    """Equipment and plants of a tank."""
    for fact in facts["equipment"]:
        draft = equipment.EquipmentDraft(
            kind=fact["kind"],
            name=fact["name"],
            lot=fact.get("lot", ""),
            watts=fact.get("watts"),
            since=setting.day(fact["since"]),
        )
        equipment.add(session, tank_id, draft)
    for fact in facts["plants"]:
        plants.add(session, tank_id, plants.PlantDraft(**fact))


def _stock_shelf(session: Session, place: Facts, setting: Setting) -> None:
    """What stands on the shelf: food, conditioner and tests; and what the kits showed of those."""
    kit_ids = {known.key: known.kit.id for known in setting.kits}
    for fact in place["comparisons"]:
        compared = ComparisonDraft(known=fact["known"], read=fact["read"], against=fact["against"])
        made = setting.at(fact["ago"], fact["clock"])
        compare_kit(session, kit_ids[fact["kit"]], compared, now=made)
    for fact in place["supplies"]:
        draft = SupplyFacts(
            kind=fact["kind"],
            name=fact["name"],
            unit=fact["unit"],
            left=fact["left"],
            counted_on=setting.day(fact["counted"]),
            kit_id=kit_ids[fact["kit"]] if "kit" in fact else None,
            label_ml=fact.get("label_ml"),
            label_l=fact.get("label_l"),
            opened_on=setting.day(fact["opened"]),
        )
        supplies.add(session, sites.FIRST, draft)


def _lets_forecast(entry: Planned, now: datetime) -> bool:
    age = now - entry.recorded_at
    return any(age < _FORECAST_BACK.get(r.quantity, timedelta(0)) for r in entry.readings)


def _write(session: Session, tank_id: int, entry: Planned, token: str, cast: _Cast) -> None:
    stamp = Stamp(
        tank_id=tank_id,
        token=token,
        happened_at=entry.at,
        author_id=cast.adult.author_id,
        done_by_id=cast.tiles.get(entry.hands),
    )
    at = entry.recorded_at
    if isinstance(entry.draft, NewMeal) and entry.again:
        meals.record_meal(session, stamp, entry.draft, entry.readings, again=True, now=at)
        return
    saved = entries.record(session, stamp, entry.draft, entry.readings, now=at)
    if entry.corrected is not None:
        readings, reason = entry.corrected
        again = Stamp(
            tank_id=tank_id,
            token=f"{token}-again",
            happened_at=entry.at,
            author_id=cast.adult.author_id,
        )
        entries.correct(
            session, again, saved.entry_id, entry.draft, readings,
            reason=reason, visitor=cast.adult, now=at + _CORRECTED_AFTER,
        )  # fmt: skip
    if entry.undone:
        entries.withdraw(
            session, tank_id, saved.entry_id, visitor=cast.adult, now=at + _UNDONE_AFTER
        )
