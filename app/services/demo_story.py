"""The life of an invented tank as a list of entries, from the facts in `demo_data`.

Pure: facts and a seed in, planned entries out. Days are counted back from today.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from random import Random
from typing import Any

from app.domain.calendar import wall_time
from app.domain.drafts import Draft, NewJob, NewLook, NewMeal, NewNote, NewStockEvent, NewTest
from app.domain.guard import NewReading
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Rinse, Sign, StockEventKind, Treated
from app.services.demo_water import Bench, DemoKit, by_card, by_number, nitrate_by_day

Facts = dict[str, Any]
_SATURDAY = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """An entry to write: by whose hands ("" for the adult), and when it was written down.

    `again` is a second meal on purpose; `corrected` what stands there later, and why; `undone`
    an entry that was taken back at once.
    """

    at: datetime
    draft: Draft
    readings: tuple[NewReading, ...] = ()
    hands: str = ""
    recorded_at: datetime
    again: bool = False
    corrected: tuple[tuple[NewReading, ...], str] | None = None
    undone: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What all tanks of the place share: its clock, its breaks, its kits and its tap water."""

    today: date
    zone: str
    now: datetime
    breaks: tuple[tuple[int, int], ...]
    weekend_without: int
    kits: tuple[DemoKit, ...]
    tap_nitrate: float

    def day(self, ago: int) -> date:
        """The local day so many days ago."""
        return self.today - timedelta(days=ago)

    def is_break(self, ago: int) -> bool:
        """Whether everybody was away."""
        return any(last <= ago <= first for first, last in self.breaks)

    def is_deserted(self, ago: int) -> bool:
        """Whether nobody came on that day, though somebody was meant to."""
        near = self.day(self.weekend_without)
        saturday = near + timedelta(days=(_SATURDAY - near.weekday() + 3) % 7 - 3)
        return saturday <= self.day(ago) <= saturday + timedelta(days=1)

    def at(self, ago: int, clock: str, minutes: float = 0.0) -> datetime:
        """A moment on the wall clock of a day, in UTC."""
        naive = datetime.combine(self.day(ago), time.fromisoformat(clock))
        return wall_time(naive + timedelta(minutes=round(minutes)), self.zone)


class TankStory:
    """Plans all entries of one tank."""

    def __init__(self, facts: Facts, setting: Setting, groups: dict[str, int]) -> None:
        self._facts = facts
        self._setting = setting
        self._groups = groups
        # not for secrets: the same life each time
        self._chance = Random(facts["seed"])  # noqa: S311
        self._bench = Bench(setting.kits, facts, self._chance)
        self._changes = frozenset(self._change_days())
        self._nitrate = nitrate_by_day(facts, setting.tap_nitrate, self._changes)

    def entries(self) -> list[Planned]:
        """All entries that have happened by now, in the order in which they were written."""
        parts: tuple[Callable[[], Iterator[Planned]], ...] = (
            self._days, self._fed_filter, self._tests, self._water_changes, self._rinses,
            self._regular, self._jobs, self._stock, self._odd, self._trouble, self._double_meals,
            self._correction, self._undone, self._notes,
        )  # fmt: skip
        planned = [entry for part in parts for entry in part()]
        now = self._setting.now
        return sorted((p for p in planned if p.recorded_at <= now), key=lambda p: p.recorded_at)

    def _plan(
        self,
        ago: int,
        clock: str,
        draft: Draft,
        *readings: NewReading,
        hands: str = "",
        minutes: float = 0.0,
    ) -> Planned:
        at = self._setting.at(ago, clock, minutes)
        return Planned(
            at=at, recorded_at=at + timedelta(seconds=40), draft=draft, readings=readings,
            hands=hands,
        )  # fmt: skip

    def _change_days(self) -> Iterator[int]:
        change = self._facts["change"]
        for ago in range(change["last"], self._facts["mature"], change["every"]):
            if not self._setting.is_break(ago) and not self._setting.is_deserted(ago):
                yield ago

    # the daily round

    def _days(self) -> Iterator[Planned]:
        for ago in range(self._facts["started"], -1, -1):
            if self._setting.is_deserted(ago):
                continue
            if self._setting.is_break(ago):
                yield from self._visit(ago)
            elif self._animals(ago) == 0:
                yield from self._waiting(ago)
            else:
                yield from self._meal(ago)
                yield from self._look(ago)

    def _waiting(self, ago: int) -> Iterator[Planned]:
        """A look every third day while the filter matures."""
        if ago % 3 == 0:
            yield self._plan(
                ago, self._facts["day"]["look"], NewLook(lid_closed=True, plug_on=True),
                self._temperature(ago),
            )  # fmt: skip

    def _fed_filter(self) -> Iterator[Planned]:
        """Ammonia for the filter, while no animal lives there."""
        for since, strength in self._facts["maturing"]["added"]:
            job = NewJob(job=JobKind.AMMONIA_ADDED, mg_per_l=strength)
            yield self._plan(self._facts["started"] - since, "19:30", job)

    def _visit(self, ago: int) -> Iterator[Planned]:
        sitter = self._facts["sitter"]
        if ago % sitter["every"] or not self._animals(ago):
            return
        calm = NewLook(lid_closed=True, plug_on=True, breathing_calm=True, note="Sitter’s visit")
        yield self._plan(ago, sitter["at"], NewMeal(scoops=1.0))
        yield self._plan(ago, sitter["at"], calm, self._temperature(ago), minutes=4)

    def _meal(self, ago: int) -> Iterator[Planned]:
        facts = self._facts
        if self._setting.day(ago).weekday() not in facts["plan"]["feed_weekdays"]:
            return
        doubled = any(d["ago"] == ago for d in facts["double_meals"])
        minutes = 0.0 if doubled else self._chance.uniform(-6, 12)
        readings = () if ago % 3 else (self._temperature(ago),)
        scoops = 1.0 if self._chance.random() > 0.08 else 0.5
        meal = self._plan(
            ago, facts["day"]["feed"], NewMeal(scoops=1.0 if doubled else scoops), *readings,
            hands=self._somebody(ago), minutes=minutes,
        )  # fmt: skip
        late = facts.get("late")
        if late and late["ago"] == ago:
            meal = replace(meal, recorded_at=meal.at + timedelta(hours=late["hours"]))
        yield meal

    def _look(self, ago: int) -> Iterator[Planned]:
        day = self._facts["day"]
        counts = ago % day["count_every"] == 0 or ago < day.get("short_counts", 0)
        here = self._animals(ago) - (1 if ago < day.get("short_counts", 0) else 0)
        hides = self._chance.random() < 0.06 and ago >= day.get("short_counts", 0) + 2
        look = NewLook(
            seen=here - hides if counts else None, lid_closed=True, plug_on=True,
            breathing_calm=True,
        )  # fmt: skip
        yield self._plan(
            ago, day["look"], look, self._temperature(ago), hands=self._somebody(ago),
            minutes=self._chance.uniform(0, 9),
        )  # fmt: skip

    def _somebody(self, ago: int) -> str:
        """A helper of this tank, or the adult; weekends are the adult's."""
        weekend = self._setting.day(ago).weekday() >= _SATURDAY
        share = 0.85 if self._facts["setting"] == "class" else 0.4
        if weekend or self._chance.random() > share:
            return ""
        return str(self._chance.choice(self._facts["helpers"]))

    def _temperature(self, ago: int) -> NewReading:
        day, trouble = self._facts["day"], self._facts.get("heater_trouble")
        season = day["season"] * math.sin(2 * math.pi * (ago % 365) / 365)
        value = day["temperature"] + season + self._chance.gauss(0, 0.12)
        if trouble and 0 <= trouble["first"] - ago < len(trouble["below"]):
            value -= trouble["below"][trouble["first"] - ago]
        return by_number(Quantity.TEMPERATURE, f"{value:.1f}")

    def _animals(self, ago: int) -> int:
        """How many animals the tank held at the end of a day."""
        signs = {"arrived": 1, "died": -1}
        stock = [s for s in self._facts["stock"] if s["ago"] >= ago]
        return sum(signs.get(s["what"], 0) * s["count"] for s in stock)

    # tests and jobs

    def _tests(self) -> Iterator[Planned]:
        facts, test = self._facts, self._facts["test"]
        maturing = range(facts["started"], facts["mature"], -facts["maturing"]["test_every"])
        weekly = range(test["last"], facts["mature"], test["every"])
        for ago in (*maturing, *weekly):
            if self._setting.is_break(ago) or self._setting.is_deserted(ago):
                continue
            since = ago - test["hard_last"]
            hard = since >= 0 and since % test["hard_every"] == 0
            readings = self._bench.test(ago, self._nitrate[ago], hard=hard)
            yield self._plan(
                ago, test["at"], NewTest(), *readings, hands=self._somebody(ago),
                minutes=self._chance.uniform(-10, 15),
            )  # fmt: skip

    def _water_changes(self) -> Iterator[Planned]:
        change, shape = self._facts["change"], self._facts["shape"]
        liters = shape["length_cm"] * shape["width_cm"] * shape["water_depth_cm"] / 1000
        amount = round(liters * 0.93 * change["percent"] / 100)
        for ago in sorted(self._changes):
            job = NewJob(
                job=JobKind.WATER_CHANGE, liters_out=float(amount), liters_in=float(amount),
                treated=Treated.YES, new_water_c=round(self._chance.uniform(23.0, 24.6), 1),
            )  # fmt: skip
            yield self._plan(ago, change["at"], job)

    def _rinses(self) -> Iterator[Planned]:
        rinse = self._facts["rinse"]
        for ago in range(rinse["last"], self._facts["mature"], rinse["every"]):
            if not self._setting.is_break(ago):
                job = NewJob(job=JobKind.FILTER_RINSE, rinse=Rinse.TANK)
                yield self._plan(ago, rinse["at"], job)

    def _jobs(self) -> Iterator[Planned]:
        for fact in self._facts["jobs"]:
            job = NewJob(job=JobKind(fact["job"]), note=fact.get("note", ""))
            yield self._plan(fact["ago"], fact["at"], job)

    def _regular(self) -> Iterator[Planned]:
        """Jobs that come round; before the filter was ready only those of the first days."""
        for fact in self._facts["regular"]:
            for ago in range(fact["last"], self._facts["mature"], fact["every"]):
                if not self._setting.is_break(ago) and not self._setting.is_deserted(ago):
                    job = NewJob(job=JobKind(fact["job"]), grams=self._around(fact.get("grams")))
                    hands = self._somebody(ago) if fact.get("helper") else ""
                    yield self._plan(ago, fact["at"], job, hands=hands)

    def _around(self, grams: float | None) -> float | None:
        return None if grams is None else round(grams * self._chance.uniform(0.7, 1.3))

    def _stock(self) -> Iterator[Planned]:
        for fact in self._facts["stock"]:
            event = NewStockEvent(
                what=StockEventKind(fact["what"]), group_id=self._groups[fact["group"]],
                count=fact["count"], note=fact.get("note", ""), length_cm=fact.get("length_cm"),
                apart_days=fact.get("apart_days"),
            )  # fmt: skip
            yield self._plan(fact["ago"], "07:05", event)

    # what went wrong

    def _odd(self) -> Iterator[Planned]:
        for fact in self._facts["odd"]:
            look = NewLook(signs=tuple(Sign(s) for s in fact["signs"]), note=fact["note"])
            yield self._plan(fact["ago"], fact["at"], look, hands=self._facts["helpers"][0])

    def _notes(self) -> Iterator[Planned]:
        for fact in self._facts.get("notes", ()):
            note = NewNote(note=fact["text"])
            yield self._plan(fact["ago"], fact["at"], note, hands=fact.get("hands", ""))

    def _trouble(self) -> Iterator[Planned]:
        trouble = self._facts.get("heater_trouble")
        if trouble:
            found = NewLook(signs=(Sign.HEATER_OFF,), plug_on=False)
            yield self._plan(trouble["found"], "07:31", found)
            mended = NewJob(job=JobKind.EQUIPMENT_CHECK, note=trouble["note"])
            yield self._plan(trouble["found"], "07:44", mended)

    def _double_meals(self) -> Iterator[Planned]:
        for fact in self._facts["double_meals"]:
            ago, second = fact["ago"], fact["second"]
            meal = self._plan(ago, second, NewMeal(scoops=1.0), hands=fact["hands"])
            yield replace(meal, again=True)
            job = NewJob(job=JobKind.LEFTOVERS, note="Two of us had fed. Netted out what floated.")
            yield self._plan(ago, second, job, minutes=25)

    def _correction(self) -> Iterator[Planned]:
        fact = self._facts["correction"]
        kit = self._bench.kit(Quantity.PH, fact["ago"])
        wrong, right = (
            by_card(kit, float(fact[key])) if kit and kit.steps
            else by_number(Quantity.PH, fact[key], kit)
            for key in ("typed", "meant")
        )  # fmt: skip
        test = self._plan(fact["ago"], "15:30", NewTest(), wrong, hands=fact["hands"])
        yield replace(test, corrected=((right,), fact["reason"]))

    def _undone(self) -> Iterator[Planned]:
        fact = self._facts.get("undone")
        if fact:
            meal = self._plan(fact["ago"], fact["at"], NewMeal(), hands=fact["hands"])
            yield replace(meal, undone=True)
