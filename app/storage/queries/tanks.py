"""Tanks with their site, plan, ranges, scoop and kits, for any number at once."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from app.domain.kit import Kit, KitComparison
from app.domain.maturing import StageReached
from app.domain.quantities import Quantity
from app.domain.tank import Break, CarePlan, PlannedJob, Range, Site, Tank, TankForm, TankShape
from app.storage.models.evaluation import Evaluation
from app.storage.models.feeding import Scoop
from app.storage.models.site import Break as BreakRow
from app.storage.models.site import Site as SiteRow
from app.storage.models.site import TapReading
from app.storage.models.tank import CareJob, TankRange
from app.storage.models.tank import CarePlan as PlanRow
from app.storage.models.tank import Tank as TankRow
from app.storage.queries import evaluations, kits
from app.storage.records import same_names


@dataclass(frozen=True, slots=True)
class TankRows:
    """One tank as records: itself, its site, the site's kits, what its filter reached."""

    tank: Tank
    site: Site
    kits: tuple[Kit, ...]
    comparisons: tuple[KitComparison, ...]
    stages: tuple[StageReached, ...]


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
        s.id: replace(_site(s), breaks=tuple(breaks[s.id]), tap=tuple(tap[s.id]))
        for s in session.scalars(select(SiteRow))
    }


def first_site(session: Session) -> Site | None:
    """The site that was written first, without its breaks and tap water; None without any."""
    row = session.scalar(select(SiteRow).order_by(SiteRow.id).limit(1))
    return None if row is None else _site(row)


def _site(row: SiteRow) -> Site:
    return Site(
        name=row.name,
        zone=row.zone,
        present_weekdays=weekdays(row.present_weekdays),
        fahrenheit=row.fahrenheit,
        us_gallons=row.us_gallons,
        chloramine=row.chloramine,
        elevation_m=row.elevation_m,
    )


def weekdays(text: str) -> frozenset[int]:
    """Weekdays from Monday = 0, from their digits."""
    return frozenset(int(d) for d in text)


def digits(days: frozenset[int]) -> str:
    """The digits of weekdays, in order."""
    return "".join(str(d) for d in sorted(days))


def load(session: Session, tank_ids: Sequence[int]) -> list[TankRows]:
    """These tanks with all that is settled about them, in the order of their ids."""
    site_of, shelf_of = sites(session), kits.shelves(session)
    ranges: dict[int, list[Range]] = defaultdict(list)
    for r in session.scalars(select(TankRange).where(TankRange.tank_id.in_(tank_ids))):
        ranges[r.tank_id].append(
            Range(quantity=Quantity(r.quantity), low=r.low, high=r.high, set_by=r.set_by)
        )
    jobs: dict[int, list[PlannedJob]] = defaultdict(list)
    for job in session.scalars(select(CareJob).where(CareJob.tank_id.in_(tank_ids))):
        jobs[job.tank_id].append(same_names(PlannedJob, job))
    older = aliased(Scoop)
    last_scoop = (
        select(older.id)
        .where(older.tank_id == TankRow.id)
        .order_by(older.weighed_at.desc(), older.id.desc())
        .limit(1)
        .scalar_subquery()
    )
    found = session.execute(
        select(TankRow, PlanRow, Scoop, Evaluation)
        .outerjoin(PlanRow, PlanRow.tank_id == TankRow.id)
        .outerjoin(Scoop, Scoop.id == last_scoop)
        .outerjoin(Evaluation, Evaluation.tank_id == TankRow.id)
        .where(TankRow.id.in_(tank_ids))
        .order_by(TankRow.id)
    ).all()
    return [
        TankRows(
            _tank(
                row,
                plan=_plan(plan, tuple(jobs[row.id])),
                ranges=tuple(ranges[row.id]),
                scoop=scoop,
            ),
            site_of[row.site_id],
            tuple(kits.newest_last(shelf_of[row.site_id])),
            tuple(shelf_of[row.site_id].comparisons),
            evaluations.stages(kept) if kept is not None else (),
        )
        for row, plan, scoop, kept in found
    ]


def _tank(row: TankRow, *, plan: CarePlan, ranges: tuple[Range, ...], scoop: Scoop | None) -> Tank:
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
        set_point_c=row.set_point_c,
        cover=row.cover,
        sun_from=row.sun_from,
        sun_until=row.sun_until,
        coldest_room_c=row.coldest_room_c,
        adult=row.adult,
        adult_phone=row.adult_phone,
        deputy=row.deputy,
        deputy_phone=row.deputy_phone,
        food_protein_percent=row.food_protein_percent,
        scoop_grams=scoop.grams if scoop else None,
        scoop_id=scoop.id if scoop else None,
        ranges=ranges,
        plan=plan,
        shape=same_names(TankShape, row, form=TankForm(row.form)),
    )


def _plan(row: PlanRow | None, jobs: tuple[PlannedJob, ...]) -> CarePlan:
    if row is None:
        return CarePlan(jobs=jobs)
    return CarePlan(
        jobs=jobs,
        feed_weekdays=weekdays(row.feed_weekdays),
        portion_scoops=row.portion_scoops,
        water_change_days=row.water_change_days,
        water_change_percent=row.water_change_percent,
        test_days=row.test_days,
        filter_rinse_days=row.filter_rinse_days,
    )
