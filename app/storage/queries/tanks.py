"""Tanks with their site, plan, ranges, scoop and kits, for any number at once."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.domain.quantities import Quantity
from app.domain.records import Break, CarePlan, Kit, Range, Site, Tank, TankShape
from app.storage import records
from app.storage.models.feeding import Scoop
from app.storage.models.site import Break as BreakRow
from app.storage.models.site import Kit as KitRow
from app.storage.models.site import Site as SiteRow
from app.storage.models.site import TapReading
from app.storage.models.tank import CarePlan as PlanRow
from app.storage.models.tank import Tank as TankRow
from app.storage.models.tank import TankRange


@dataclass(frozen=True, slots=True)
class TankRows:
    """One tank as records: itself, its site, the site's kits."""

    tank: Tank
    site: Site
    kits: tuple[Kit, ...]


def ids(session: Session) -> list[int]:
    """All tanks that are not closed, by name."""
    query = select(TankRow.id).where(TankRow.closed_on.is_(None)).order_by(TankRow.folded)
    return list(session.scalars(query))


def sites(session: Session) -> dict[int, Site]:
    """All sites with their breaks and tap water."""
    breaks: dict[int, list[Break]] = defaultdict(list)
    for b in session.scalars(select(BreakRow).order_by(BreakRow.first_day)):
        breaks[b.site_id].append(Break(first_day=b.first_day, last_day=b.last_day, name=b.name))
    tap: dict[int, list[tuple[Quantity, float]]] = defaultdict(list)
    for t in session.scalars(select(TapReading)):
        tap[t.site_id].append((Quantity(t.quantity), t.value))
    return {
        s.id: Site(
            name=s.name,
            zone=s.zone,
            present_weekdays=weekdays(s.present_weekdays),
            breaks=tuple(breaks[s.id]),
            fahrenheit=s.fahrenheit,
            us_gallons=s.us_gallons,
            chloramine=s.chloramine,
            tap=tuple(tap[s.id]),
        )
        for s in session.scalars(select(SiteRow))
    }


def weekdays(digits: str) -> frozenset[int]:
    """Weekdays from Monday = 0, from their digits."""
    return frozenset(int(d) for d in digits)


def kits(session: Session) -> dict[int, list[Kit]]:
    """All kits by site, the newest last."""
    found: dict[int, list[Kit]] = defaultdict(list)
    for row in session.scalars(select(KitRow).order_by(KitRow.opened_on, KitRow.id)):
        found[row.site_id].append(records.kit(row))
    return found


def load(session: Session, tank_ids: Sequence[int]) -> list[TankRows]:
    """These tanks with all that is settled about them, in the order of their ids."""
    site_of, kits_of = sites(session), kits(session)
    ranges: dict[int, list[Range]] = defaultdict(list)
    for r in session.scalars(select(TankRange).where(TankRange.tank_id.in_(tank_ids))):
        ranges[r.tank_id].append(
            Range(quantity=Quantity(r.quantity), low=r.low, high=r.high, set_by=r.set_by)
        )
    scoops: dict[int, Scoop] = {}
    query = select(Scoop).where(Scoop.tank_id.in_(tank_ids)).order_by(Scoop.weighed_at, Scoop.id)
    for scoop in session.scalars(query):
        scoops[scoop.tank_id] = scoop
    found = session.execute(
        select(TankRow, PlanRow)
        .outerjoin(PlanRow, PlanRow.tank_id == TankRow.id)
        .where(TankRow.id.in_(tank_ids))
        .order_by(TankRow.id)
    ).all()
    return [
        TankRows(
            _tank(row, plan, tuple(ranges[row.id]), scoops.get(row.id)),
            site_of[row.site_id],
            tuple(kits_of[row.site_id]),
        )
        for row, plan in found
    ]


def _tank(
    row: TankRow, plan: PlanRow | None, ranges: tuple[Range, ...], scoop: Scoop | None
) -> Tank:
    return Tank(
        id=row.id,
        name=row.name,
        setting=row.setting,
        started_on=row.started_on,
        mature_on=row.mature_on,
        closed_on=row.closed_on,
        light_on=row.light_on,
        light_hours=row.light_hours,
        has_heater=row.has_heater,
        scoop_grams=scoop.grams if scoop else None,
        scoop_id=scoop.id if scoop else None,
        ranges=ranges,
        plan=_plan(plan),
        shape=TankShape(
            length_cm=row.length_cm,
            width_cm=row.width_cm,
            rim_cm=row.rim_cm,
            water_depth_cm=row.water_depth_cm,
            sand_front_cm=row.sand_front_cm,
            sand_back_cm=row.sand_back_cm,
            sand_pore_share=row.sand_pore_share,
            displacement_l=row.displacement_l,
            heater_line_cm=row.heater_line_cm,
        ),
    )


def _plan(row: PlanRow | None) -> CarePlan:
    if row is None:
        return CarePlan()
    return CarePlan(
        feed_weekdays=weekdays(row.feed_weekdays),
        portion_scoops=row.portion_scoops,
        water_change_days=row.water_change_days,
        water_change_percent=row.water_change_percent,
        test_days=row.test_days,
        filter_rinse_days=row.filter_rinse_days,
    )
