"""What the record knows at the steps of starting and closing a tank, in words."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Final

from app.domain.kit import Equipment
from app.domain.measures import net_volume
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Tank
from app.domain.wording import degrees, full_day, number, water_amount, with_unit
from app.knowledge.load import load
from app.rules import maturing
from app.services.workings import both_units
from app.services.workings.bed import bed_kg

_COVERS: Final = {"closed": "a lid, closed", "gap": "a lid with a gap for air", "open": "no lid"}
_POWERED: Final = ("filter", "lamp", "timer")


def known_at_steps(snapshot: TankSnapshot) -> Mapping[str, tuple[str, ...]]:
    """What is written already, by the key of the step that it belongs to."""
    tank, animals = snapshot.tank, tuple(f"{g.count} {g.name}" for g in snapshot.groups if g.count)
    return {
        "starting.people": _people(tank),
        "starting.place": _place(snapshot),
        "starting.sand": _sand(tank),
        "starting.plants": tuple(p.name for p in snapshot.plants if not p.removed),
        "starting.water": _water(snapshot),
        "starting.filter": _light(tank) + _named(snapshot, *_POWERED),
        "starting.heater": _heater(snapshot) + _named(snapshot, "heater"),
        "starting.cover": (_COVERS[tank.cover],) if tank.cover else (),
        "starting.maturing": (maturing.stage(snapshot, load()).words,),
        "starting.first": animals,
        "starting.batches": animals,
        "closing.homes": animals,
        "closing.plants": tuple(p.name for p in snapshot.plants if not p.removed),
        "closing.gear": tuple(e.name for e in _in_use(snapshot)),
    }


def water_and_sand_kg(snapshot: TankSnapshot) -> float | None:
    """What the water and the dry sand weigh, in kilograms; None where nobody measured the water.

    Glass, stones and stand come on top.
    """
    net = net_volume(snapshot.tank.shape)
    return None if net is None else net.net_l + (bed_kg(snapshot, load()) or 0.0)


def sun_on_glass(tank: Tank) -> timedelta | None:
    """How long the sun reaches the glass in a day; None where nobody looked."""
    if not tank.sun_from or not tank.sun_until:
        return None
    start, end = (datetime.strptime(t, "%H:%M") for t in (tank.sun_from, tank.sun_until))  # noqa: DTZ007
    return (end - start) % timedelta(days=1)


def _people(tank: Tank) -> tuple[str, ...]:
    in_charge = (
        ("in charge", tank.adult, tank.adult_phone),
        ("deputy", tank.deputy, tank.deputy_phone),
    )
    return tuple(
        f"{role}: {name}" + ("" if phone else ", without a phone number")
        for role, name, phone in in_charge
        if name
    )


def _place(snapshot: TankSnapshot) -> tuple[str, ...]:
    tank, said = snapshot.tank, []
    sun, weight = sun_on_glass(tank), water_and_sand_kg(snapshot)
    if sun is not None:
        hours = number(sun / timedelta(hours=1), 1)
        said.append(f"{with_unit(hours, 'h')} of sun on the glass")
    if tank.coldest_room_c is not None:
        said.append(f"the room’s coldest hour {degrees(snapshot.site, tank.coldest_room_c)}")
    said += _named(snapshot, "outlet", "power_strip")
    if weight is not None:
        said.append(f"water and sand {both_units.mass(weight)}; glass, stones and stand on top")
    return tuple(said)


def _sand(tank: Tank) -> tuple[str, ...]:
    ends = (("front", tank.shape.sand_front_cm), ("back", tank.shape.sand_back_cm))
    return tuple(f"{where} {both_units.length(cm)}" for where, cm in ends if cm is not None)


def _water(snapshot: TankSnapshot) -> tuple[str, ...]:
    tank, said = snapshot.tank, []
    net = net_volume(tank.shape)
    if net is not None:
        said.append(f"{water_amount(snapshot.site, net.net_l)} of water")
    if tank.started_on is not None:
        said.append(f"filled on {full_day(tank.started_on)} {tank.started_on.year}")
    return tuple(said)


def _light(tank: Tank) -> tuple[str, ...]:
    hours = tank.light_hours
    return (f"light {with_unit(number(hours, 1), 'h')} a day",) if hours is not None else ()


def _heater(snapshot: TankSnapshot) -> tuple[str, ...]:
    tank, said = snapshot.tank, []
    if tank.set_point_c is not None:
        said.append(f"set to {degrees(snapshot.site, tank.set_point_c)}")
    if tank.shape.heater_line_cm is not None:
        said.append(f"lowest water line {both_units.length(tank.shape.heater_line_cm)}")
    return tuple(said)


def _in_use(snapshot: TankSnapshot) -> tuple[Equipment, ...]:
    return tuple(e for e in snapshot.equipment if e.retired_on is None)


def _named(snapshot: TankSnapshot, *kinds: str) -> tuple[str, ...]:
    return tuple(e.name for e in _in_use(snapshot) if e.kind in kinds)
