"""What a row of the tables says of the record, phrase by phrase, as things of a snapshot."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any, Final

from app.domain.calendar import local_day
from app.domain.kit import Equipment, Kit
from app.domain.livestock import Plant, StockGroup
from app.domain.outlook import OxygenOutlook
from app.domain.quantities import Quantity
from app.domain.records import Entry, JobKind, Reading, Sign, StockEventKind, Treatment
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Break, Range, Site, Tank
from app.knowledge.load import load
from tests.rules.situations.details import details
from tests.rules.situations.moments import WHEN, moment_of, moments, wall
from tests.situations import (
    NEW_YORK,
    SCHOOL,
    SHOAL,
    TANK,
    Thing,
    calm,
    fed,
    job,
    look,
    reading,
    snapshot,
    stock,
    water_test,
)

NOON: Final = "Friday 12:00"
_NUMBER = r"(-?\d+(?:\.\d+)?)"
_SPECIES = {s.common_name.lower(): s for s in load().species.values()}
_QUANTITIES = "|".join(
    {"ph": "pH", "kh": "KH", "gh": "GH"}.get(q.value, q.value.replace("_", " ")) for q in Quantity
)


@dataclass
class Row:
    """What the phrases of one row have said so far."""

    now: datetime
    things: list[Thing] = field(default_factory=list)
    site: Site = SCHOOL
    tank: Tank = TANK
    groups: tuple[StockGroup, ...] = SHOAL
    more: dict[str, Any] = field(default_factory=dict)

    def day(self, ahead: int = 0) -> Any:
        """The local day so many days from now."""
        return local_day(self.now, NEW_YORK) + timedelta(days=ahead)

    def snapshot(self) -> TankSnapshot:
        """The tank as of the row's moment."""
        given = {"site": self.site, "tank": self.tank, "groups": self.groups, **self.more}
        return snapshot(wall(self.now), *self.things, **given)


def read(text: str) -> TankSnapshot:
    """The snapshot that the phrases of a row describe; they are parted by semicolons.

    Raises:
        ValueError: If a phrase is none that the tables know.
    """
    phrases = [p.strip() for p in text.split(";")]
    clock = next((p for p in phrases if p.startswith("it is ")), f"it is {NOON}")
    row = Row(moment_of(clock.removeprefix("it is ")))
    for phrase in phrases:
        if phrase != clock:
            _take(row, phrase)
    return row.snapshot()


def _take(row: Row, phrase: str) -> None:
    for pattern, add in _KNOWN:
        match = re.fullmatch(pattern, phrase)
        if match:
            add(row, match)
            return
    raise ValueError(f"“{phrase}” is no phrase that the tables know.")


def _calm(row: Row, match: re.Match[str]) -> None:
    gone = set(re.split(r", | and ", match[1] or ""))
    row.things += [t for t in calm(wall(row.now)) if not _kinds(t) & gone]


def _kinds(thing: Thing) -> set[str]:
    """The words by which a calm tank can be told to lack something."""
    if isinstance(thing, Reading):
        return {thing.quantity.value.replace("ph", "pH"), "readings"}
    if isinstance(thing, Entry):
        kind = getattr(thing, "job", None) or type(thing).__name__
        names = {"Feeding": "meal", "Observation": "look"}
        return {names.get(str(kind), str(kind).replace("_", " "))}
    return set()


def _measured(row: Row, match: re.Match[str]) -> None:
    quantity = Quantity(match[1].lower().replace(" ", "_"))
    text, values = match[2], [float(v) for v in re.findall(_NUMBER, match[2])]
    known: dict[str, Any] = {"value": values[0]}
    if text.startswith("lighter"):
        known = {"value": None, "low": 0.0, "high": values[0]}
    elif len(values) == 3:
        known |= {"low": values[1], "high": values[2]}
    value = known.pop("value")
    for moment in moments(match[3], row.now):
        test = water_test(moment)
        row.things += [test, reading(quantity, value, moment, entry_id=test.id, **known)]


def _fed(row: Row, match: re.Match[str]) -> None:
    said = details(match[2])
    row.things += [fed(m, **said) for m in moments(match[1], row.now)]


def _looked(row: Row, match: re.Match[str]) -> None:
    said = details(match[2])
    row.things += [look(m, **said) for m in moments(match[1], row.now)]


def _sign(row: Row, match: re.Match[str]) -> None:
    sign = Sign(match[1].replace(" ", "_"))
    row.things += [look(m, signs=(sign,)) for m in moments(match[2], row.now)]


def _job(row: Row, match: re.Match[str]) -> None:
    kind = JobKind(match[1].replace(" ", "_"))
    said = details(match[3])
    if kind is JobKind.TREATMENT:
        label = {k: said.pop(k) for k in ("volume_l", "amount_ml", "carbon_out") if k in said}
        said["treatment"] = Treatment(product="Label", label_ml=5.0, label_l=100.0, **label)
    row.things += [job(kind, m, **said) for m in moments(match[2], row.now)]


def _stock(row: Row, match: re.Match[str]) -> None:
    said = details(match[4])
    for moment in moments(match[3], row.now):
        row.things.append(stock(StockEventKind(match[2]), moment, int(match[1]), **said))


def _animals(row: Row, match: re.Match[str]) -> None:
    species = _SPECIES.get(match[2])
    if species is None:
        raise ValueError(f"“{match[2]}” is no animal of the catalogue.")
    group = StockGroup(
        id=1, name=species.common_name, count=int(match[1]), species=species.scientific_name,
        length_cm=float(match[3]) if match[3] else None,
    )  # fmt: skip
    kept = () if row.groups is SHOAL else row.groups
    row.groups = (*kept, replace(group, id=len(kept) + 1))


def _tank(**more: Any) -> Callable[[Row, re.Match[str]], None]:
    def change(row: Row, _match: re.Match[str]) -> None:
        row.tank = replace(row.tank, **more)

    return change


def _number(name: str) -> Callable[[Row, re.Match[str]], None]:
    def change(row: Row, match: re.Match[str]) -> None:
        known: dict[str, Any] = {name: float(match[1])}
        row.tank = replace(row.tank, **known)

    return change


def _lamp(row: Row, match: re.Match[str]) -> None:
    row.tank = replace(row.tank, light_on=match[1].zfill(5), light_hours=float(match[2]))


def _heater_line(row: Row, match: re.Match[str]) -> None:
    shape = replace(row.tank.shape, heater_line_cm=float(match[1]))
    row.tank = replace(row.tank, shape=shape)


def _started(row: Row, match: re.Match[str]) -> None:
    ready = row.day(-int(match[2])) if match[2] else None
    row.tank = replace(row.tank, started_on=row.day(-int(match[1])), mature_on=ready)


def _range(row: Row, match: re.Match[str]) -> None:
    low, high = float(match[2]), float(match[3])
    own = Range(quantity=Quantity(match[1].lower()), low=low, high=high)
    row.tank = replace(row.tank, ranges=(*row.tank.ranges, own))


def _break(row: Row, match: re.Match[str]) -> None:
    start = int(match[2])
    away = Break(first_day=row.day(start), last_day=row.day(start + int(match[1]) - 1), name="")
    row.site = replace(row.site, breaks=(*row.site.breaks, away))


def _home(row: Row, _match: re.Match[str]) -> None:
    row.site = replace(row.site, present_weekdays=frozenset(range(7)))


def _tap(row: Row, match: re.Match[str]) -> None:
    row.site = replace(row.site, tap=((Quantity.NITRATE, float(match[1])),))


def _night(row: Row, match: re.Match[str]) -> None:
    value = float(match[1])
    row.more["oxygen"] = OxygenOutlook(low=value - 1, best=value, high=value + 1)


def _kit(row: Row, match: re.Match[str]) -> None:
    days = int(match[3])
    dates = {"expires_on": row.day(-days)} if match[2] == "expired" else {
        "opened_on": row.day(-days)
    }  # fmt: skip
    row.things.append(Kit(id=9, quantity=Quantity(match[1]), name="Kit", unit="mg/L", **dates))


def _device(row: Row, match: re.Match[str]) -> None:
    due = row.day(-int(match[2])) if match[2] else None
    kind = match[1].replace(" ", "_")
    device = Equipment(id=1, kind=kind, name="", next_check_on=due)
    row.more["equipment"] = (*row.more.get("equipment", ()), device)


def _plants(row: Row, _match: re.Match[str]) -> None:
    row.more["plants"] = (Plant(id=1, name="Stem plant"),)


def _no_animals(row: Row, _match: re.Match[str]) -> None:
    row.groups = ()


_SIGNS = "|".join(s.value.replace("_", " ") for s in Sign)
_JOBS = "|".join(j.value.replace("_", " ") for j in JobKind)
_REST = r"((?:, .+)?)"
_VALUE = r"((?:lighter than )?-?\d+(?:\.\d+)?(?: \(\S+ to \S+\))?)"

_KNOWN: Final[tuple[tuple[str, Callable[[Row, re.Match[str]], None]], ...]] = (
    (r"calm(?: but no (.+))?", _calm),
    (r"nothing written", lambda _row, _match: None),
    (rf"({_QUANTITIES}) {_VALUE} ({WHEN})", _measured),
    (rf"fed ({WHEN}){_REST}", _fed),
    (rf"looked ({WHEN}){_REST}", _looked),
    (rf"sign of ({_SIGNS}) ({WHEN})", _sign),
    (rf"({_JOBS}) ({WHEN}){_REST}", _job),
    (rf"(\d+) (arrived|died|left|found) ({WHEN}){_REST}", _stock),
    (r"no animals", _no_animals),
    (r"there are plants", _plants),
    (rf"(\d+) animals of the kind ([^,]+?)(?:, {_NUMBER} cm long)?", _animals),
    (r"home", _home),
    (r"class", _tank(setting="class")),
    (r"adult named", _tank(adult="Ms. Hill")),
    (r"deputy named", _tank(deputy="Mr. Reed")),
    (r"no heater", _tank(has_heater=False)),
    (rf"heater set to {_NUMBER} °C", _number("set_point_c")),
    (rf"heater line at {_NUMBER} cm", _heater_line),
    (rf"lamp {_NUMBER} hours", _number("light_hours")),
    (rf"lamp from (\d+:\d\d) for {_NUMBER} hours", _lamp),
    (rf"food with {_NUMBER} % protein", _number("food_protein_percent")),
    (r"started (\d+) days ago, filter not ready()", _started),
    (r"started (\d+) days ago, filter ready (\d+) days ago", _started),
    (r"age of the tank unknown", _tank(started_on=None, mature_on=None)),
    (rf"range of (KH|GH|temperature|pH) {_NUMBER} to {_NUMBER}", _range),
    (r"break of (\d+) days in (\d+) days", _break),
    (rf"tap water with nitrate {_NUMBER}", _tap),
    (rf"estimated night oxygen {_NUMBER}", _night),
    (r"kit for (\w+) (expired|opened) (\d+) days ago", _kit),
    (r"there is an? (air pump|heater|filter|lamp)(?:, check set for (\d+) days ago)?", _device),
)
