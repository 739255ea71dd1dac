"""What a veterinarian asks for first: the tank, its water, its animals and what happened."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Final

from app.domain.calendar import local_day
from app.domain.entry_words import SIGN_WORDS, STOCK_WORDS
from app.domain.kit import Equipment, Kit
from app.domain.measures import net_volume
from app.domain.quantities import FACTS, Quantity
from app.domain.records import JobKind, Reading, StockEventKind
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site
from app.domain.wording import (
    NBSP,
    bare_degrees,
    count,
    dated,
    degrees,
    reading_text,
    short,
    unit_and_basis,
    value_text,
    water_amount,
    with_unit,
)
from app.services.equipment import KIND_WORDS

DAYS: Final = 30
SIGN_DAYS: Final = 60
# what two pages have room for, measured on paper
_MOST_TESTS: Final = 42
_MOST_EVENTS: Final = 6
_LOSSES: Final = frozenset({StockEventKind.DIED, StockEventKind.MISSING})


class Known(StrEnum):
    """How sure a line of the sheet is; the value is the word shown."""

    MEASURED = "measured"
    WRITTEN = "written down"
    ESTIMATED = "worked out"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class VetLine:
    """One line: what it is, what is known, and how sure that is."""

    label: str
    text: str
    known: Known


@dataclass(frozen=True, slots=True)
class TestLine:
    """One measured value of the last days, in the unit of its group."""

    day: date
    text: str


@dataclass(frozen=True, slots=True)
class TestGroup:
    """The newest values of one quantity by one kit; `left_out` older ones have no room."""

    label: str
    unit: str
    kit: str
    lines: tuple[TestLine, ...]
    left_out: int


@dataclass(frozen=True, slots=True)
class EventLine:
    """Something that happened on a day."""

    day: date
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VetSheet:
    """The sheet; it holds no names of people but that of the grown-up in charge.

    `tests` are those of the last 30 days, `signs` of the last 60, each newest first; arrivals and
    losses are all that the record holds. Where one list is too long for two pages, it ends with how
    much more there is. `warmth` sums up the temperatures of the last 30 days.
    """

    tank: str
    day: date
    tank_lines: tuple[VetLine, ...]
    water_lines: tuple[VetLine, ...]
    animal_lines: tuple[VetLine, ...]
    arrivals: tuple[EventLine, ...]
    losses: tuple[EventLine, ...]
    signs: tuple[EventLine, ...]
    treatments: tuple[EventLine, ...]
    tests: tuple[TestGroup, ...]
    warmth: str


def vet_sheet(snapshot: TankSnapshot) -> VetSheet:
    """The sheet of a tank as of a moment."""
    return VetSheet(
        tank=snapshot.tank.name,
        day=snapshot.today,
        tank_lines=_tank_lines(snapshot),
        water_lines=_water_lines(snapshot),
        animal_lines=_animal_lines(snapshot),
        arrivals=_arrivals(snapshot),
        losses=_losses(snapshot),
        signs=_signs(snapshot),
        treatments=_treatments(snapshot),
        tests=_tests(snapshot),
        warmth=_warmth(snapshot),
    )


def _line(label: str, text: str, known: Known = Known.WRITTEN) -> VetLine:
    return VetLine(label, text, known) if text else VetLine(label, "", Known.UNKNOWN)


def _tank_lines(snapshot: TankSnapshot) -> tuple[VetLine, ...]:
    tank, shape = snapshot.tank, snapshot.tank.shape
    net = net_volume(shape)
    height = f" × {with_unit(short(shape.rim_cm), 'cm')}" if shape.rim_cm else ""
    size = f"{with_unit(short(shape.length_cm), 'cm')} × {with_unit(short(shape.width_cm), 'cm')}"
    gear = ", ".join(_gear(e) for e in snapshot.equipment if e.retired_on is None)
    plants = ", ".join(f"{p.name} ({p.amount})" for p in snapshot.plants if not p.removed)
    light = with_unit(short(tank.light_hours), "h a day") if tank.light_hours else ""
    started = dated(tank.started_on) if tank.started_on else ""
    rinse = snapshot.jobs_of(JobKind.FILTER_RINSE)
    rinsed = dated(rinse[-1].local_day) if rinse else ""
    net_text = water_amount(snapshot.site, net.net_l) if net else ""
    return (
        _line("Water volume (net)", net_text, Known.ESTIMATED),
        _line("Inside measures", size + height, Known.MEASURED),
        _line("Form", shape.form.value.replace("_", " ")),
        _line("Running since", started),
        _line("Gear", gear or ("heater" if tank.has_heater else "")),
        _line("Filter last rinsed", rinsed),
        _line("Light", light),
        _line("Plants", plants),
        _line("Stones, wood and other things in it", ""),
        _line("Planned water change", _change_text(snapshot)),
    )


def _gear(piece: Equipment) -> str:
    kind = KIND_WORDS[piece.kind]
    return piece.name if kind.lower() in piece.name.lower() else f"{piece.name} ({kind.lower()})"


def _change_text(snapshot: TankSnapshot) -> str:
    plan = snapshot.tank.plan
    share = with_unit(short(plan.water_change_percent), "%")
    return f"{share} every {count(plan.water_change_days, 'day', 'days')}"


def _water_lines(snapshot: TankSnapshot) -> tuple[VetLine, ...]:
    site = snapshot.site
    chloramine = "" if site.chloramine == "unknown" else site.chloramine
    lines = [
        _line("Source", "tap water" if site.tap else ""),
        _line("Chloramine in the tap water", chloramine),
    ]
    lines += [
        _line(f"Tap: {FACTS[q].label}", value_text(q, value, site), Known.MEASURED)
        for q, value in site.tap
    ]
    return tuple(lines)


def _animal_lines(snapshot: TankSnapshot) -> tuple[VetLine, ...]:
    lines = []
    for group in snapshot.groups:
        species = f" ({group.species})" if group.species else ", species unknown"
        size = "size unknown"
        if group.length_cm is not None:
            size = f"{with_unit(short(group.length_cm), 'cm')} long at the last measuring"
        known = Known.WRITTEN if group.species else Known.UNKNOWN
        lines.append(_line(group.name, f"{group.count}{species}, {size}", known))
    return tuple(lines)


def _arrivals(snapshot: TankSnapshot) -> tuple[EventLine, ...]:
    sources = {b.id: b.source for b in snapshot.batches}
    found = []
    for event in snapshot.stock_events:
        if event.what not in {StockEventKind.ARRIVED, StockEventKind.MOVED_IN}:
            continue
        apart = "days kept apart unknown"
        if event.apart_days is not None:
            apart = f"kept apart {count(event.apart_days, 'day', 'days')}"
        source = sources.get(event.batch_id or 0, "")
        parts = [f"{event.count} {event.group_name}".strip(), apart]
        parts += [f"from {source}"] if source else []
        found.append(EventLine(event.local_day, ", ".join(parts)))
    return _newest_first(found)


def _losses(snapshot: TankSnapshot) -> tuple[EventLine, ...]:
    return _newest_first(
        [
            EventLine(e.local_day, f"{e.count} {e.group_name} {STOCK_WORDS[e.what]}")
            for e in snapshot.stock_events
            if e.what in _LOSSES
        ]
    )


def _signs(snapshot: TankSnapshot) -> tuple[EventLine, ...]:
    first = snapshot.today - timedelta(days=SIGN_DAYS)
    return _newest_first(
        [
            EventLine(o.local_day, ", ".join(SIGN_WORDS[s] for s in o.signs))
            for o in snapshot.observations
            if o.signs and o.local_day >= first
        ]
    )


def _treatments(snapshot: TankSnapshot) -> tuple[EventLine, ...]:
    found = []
    for job in snapshot.jobs_of(JobKind.TREATMENT):
        record = job.treatment
        text = record.product if record else job.note or "what was given is unknown"
        if record and record.amount_ml is not None:
            text += f", {with_unit(short(record.amount_ml), 'mL')}"
        if record and record.until:
            text += f", until {dated(record.until)}"
        found.append(EventLine(job.local_day, text))
    return _newest_first(found)


def _recent(snapshot: TankSnapshot) -> list[Reading]:
    first = snapshot.as_of - timedelta(days=DAYS)
    return [r for r in snapshot.readings if r.at >= first]


def _warmth(snapshot: TankSnapshot) -> str:
    """The temperatures of the last days in one sentence: they are read too often for a list."""
    read = [r for r in _recent(snapshot) if r.quantity is Quantity.TEMPERATURE]
    if not read:
        return ""
    site, values = snapshot.site, [r.best for r in read]
    low, high = bare_degrees(site, min(values)), degrees(site, max(values))
    day = dated(local_day(read[-1].at, site.zone))
    many = count(len(read), "reading", "readings")
    return f"{many} from {low} to {high}. The last: {degrees(site, read[-1].best)} on {day}."


def _tests(snapshot: TankSnapshot) -> tuple[TestGroup, ...]:
    kits = {kit.id: kit for kit in snapshot.kits}
    found: dict[tuple[Quantity, str], list[TestLine]] = {}
    for r in sorted(_recent(snapshot), key=lambda r: (r.at, r.id), reverse=True):
        if r.quantity is Quantity.TEMPERATURE or r.entry_id in snapshot.logger_entry_ids:
            continue
        kit = _kit_text(kits.get(r.kit_id or 0), doubtful=r.kit_doubtful)
        line = TestLine(local_day(r.at, snapshot.site.zone), _bare(r, snapshot.site))
        found.setdefault((r.quantity, kit), []).append(line)
    room = max(1, _MOST_TESTS // max(1, len(found)))
    order = list(Quantity)
    return tuple(
        TestGroup(
            FACTS[q].label, unit_and_basis(q), kit, tuple(lines[:room]), max(0, len(lines) - room)
        )
        for (q, kit), lines in sorted(found.items(), key=lambda item: order.index(item[0][0]))
    )


def _bare(reading: Reading, site: Site) -> str:
    """A reading without its unit, which stands above all of them."""
    # pH has none
    after = f"{NBSP}{unit_and_basis(reading.quantity)}".rstrip(NBSP)
    text = reading_text(reading, site)
    return text.replace(after, "") if after else text


def _kit_text(kit: Kit | None, *, doubtful: bool) -> str:
    if kit is None:
        return "kit unknown"
    return f"{kit.name}, doubtful" if doubtful else kit.name


def _newest_first(lines: Sequence[EventLine]) -> tuple[EventLine, ...]:
    """The newest events; the oldest of many share one line."""
    found = sorted(lines, key=lambda line: line.day, reverse=True)
    if len(found) > _MOST_EVENTS:
        rest = found[_MOST_EVENTS - 1 :]
        more = EventLine(rest[0].day, f"and before: {len(rest)} more, in the story of the tank")
        return (*found[: _MOST_EVENTS - 1], more)
    return tuple(found)
