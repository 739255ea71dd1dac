"""Tanks with their site, plan, ranges, scoop and kits, for any number at once."""

import functools
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import time
from typing import Any

from sqlalchemy import BindParameter, bindparam, literal, select, union_all
from sqlalchemy.orm import Session, aliased

from app.domain.kit import Kit, KitComparison
from app.domain.maturing import StageReached
from app.domain.quantities import Quantity
from app.domain.tank import (
    Break,
    CarePlan,
    DayKind,
    PlannedJob,
    Range,
    Setback,
    Site,
    Tank,
    TankForm,
    TankShape,
)
from app.storage.models.evaluation import Evaluation
from app.storage.models.feeding import Scoop
from app.storage.models.oversight import TargetTemplate, TemplateRange
from app.storage.models.site import Break as BreakRow
from app.storage.models.site import Setback as SetbackRow
from app.storage.models.site import Site as SiteRow
from app.storage.models.site import TapReading
from app.storage.models.tank import CareJob, TankRange
from app.storage.models.tank import CarePlan as PlanRow
from app.storage.models.tank import Tank as TankRow
from app.storage.queries import evaluations, kits
from app.storage.records import same_names

_TANKS: BindParameter[Any] = bindparam("tanks", expanding=True)
_JOBS = select(CareJob).where(CareJob.tank_id.in_(_TANKS))
_BREAKS = select(BreakRow).order_by(BreakRow.first_day)
_TAP = select(TapReading)
_SITES = (
    select(SiteRow, SetbackRow)
    .outerjoin(SetbackRow, SetbackRow.site_id == SiteRow.id)
    .order_by(SiteRow.id, SetbackRow.id)
)
_SITE_OF_TANK = (
    select(SiteRow)
    .join(TankRow, TankRow.site_id == SiteRow.id)
    .where(TankRow.id == bindparam("tank"))
)
_BREAKS_OF_TANK = (
    select(SiteRow, BreakRow)
    .join(TankRow, TankRow.site_id == SiteRow.id)
    .outerjoin(BreakRow, BreakRow.site_id == SiteRow.id)
    .where(TankRow.id == bindparam("tank"))
    .order_by(BreakRow.first_day)
)


@dataclass(frozen=True, slots=True)
class TankRows:
    """One tank as records: itself, its site, the site's kits, what its filter reached."""

    tank: Tank
    site: Site
    kits: tuple[Kit, ...]
    comparisons: tuple[KitComparison, ...]
    stages: tuple[StageReached, ...]
    revision: int


def ids(session: Session) -> list[int]:
    """All tanks that are not closed, by name."""
    query = select(TankRow.id).where(TankRow.closed_on.is_(None)).order_by(TankRow.folded)
    return list(session.scalars(query))


def sites(session: Session) -> dict[int, Site]:
    """All sites with their breaks, set-back hours and tap water."""
    breaks: dict[int, list[Break]] = defaultdict(list)
    for b in session.scalars(_BREAKS):
        breaks[b.site_id].append(_break(b))
    tap: dict[int, list[tuple[Quantity, float]]] = defaultdict(list)
    for t in session.scalars(_TAP):
        tap[t.site_id].append((Quantity(t.quantity), t.value))
    found: dict[int, Site] = {}
    for row, hours in session.execute(_SITES):
        site = found.get(row.id) or replace(
            _site(row), breaks=tuple(breaks[row.id]), tap=tuple(tap[row.id])
        )
        less = () if hours is None else (setback(hours),)
        found[row.id] = replace(site, setbacks=site.setbacks + less)
    return found


def _break(row: BreakRow) -> Break:
    return same_names(Break, row, kind=DayKind(row.kind))


def setback(row: SetbackRow) -> Setback:
    """Hours with less heating, from their row."""
    return Setback(
        weekdays=weekdays(row.weekdays),
        starts=time.fromisoformat(row.starts),
        ends=time.fromisoformat(row.ends),
        room_c=row.room_c,
        while_away=row.while_away,
    )


def sites_without_days(session: Session) -> tuple[Site, ...]:
    """All sites without their breaks and tap water, the one written first in front."""
    return tuple(_site(row) for row in session.scalars(select(SiteRow).order_by(SiteRow.id)))


def site_without_days(session: Session, tank_id: int) -> Site | None:
    """The site of a tank without its breaks and tap water, or None."""
    row = session.scalar(_SITE_OF_TANK, {"tank": tank_id})
    return None if row is None else _site(row)


def site_with_breaks(session: Session, tank_id: int) -> Site | None:
    """The site of a tank with its breaks, without its tap water; None where there is no tank."""
    rows = session.execute(_BREAKS_OF_TANK, {"tank": tank_id}).all()
    if not rows:
        return None
    return replace(_site(rows[0][0]), breaks=tuple(_break(b) for _, b in rows if b is not None))


def _site(row: SiteRow) -> Site:
    return Site(
        id=row.id,
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
    ranges = _ranges(session, tank_ids)
    jobs: dict[int, list[PlannedJob]] = defaultdict(list)
    for job in session.scalars(_JOBS, {"tanks": tank_ids}):
        jobs[job.tank_id].append(same_names(PlannedJob, job))
    found = session.execute(_tanks_query(), {"tanks": list(tank_ids)}).all()
    return [
        TankRows(
            _tank(
                row,
                plan=_plan(plan, tuple(jobs[row.id])),
                ranges=tuple(ranges[row.id].values()),
                scoop=scoop,
            ),
            site_of[row.site_id],
            tuple(kits.newest_last(shelf_of[row.site_id])),
            tuple(shelf_of[row.site_id].comparisons),
            evaluations.stages(kept) if kept is not None else (),
            row.revision,
        )
        for row, plan, scoop, kept in found
    ]


@functools.cache
def _tanks_query() -> Any:
    older = aliased(Scoop)
    last_scoop = (
        select(older.id)
        .where(older.tank_id == TankRow.id)
        .order_by(older.weighed_at.desc(), older.id.desc())
        .limit(1)
        .scalar_subquery()
    )
    return (
        select(TankRow, PlanRow, Scoop, Evaluation)
        .outerjoin(PlanRow, PlanRow.tank_id == TankRow.id)
        .outerjoin(Scoop, Scoop.id == last_scoop)
        .outerjoin(Evaluation, Evaluation.tank_id == TankRow.id)
        .where(TankRow.id.in_(_TANKS))
        .order_by(TankRow.id)
    )


@functools.cache
def _ranges_query() -> Any:
    own = select(
        TankRange.tank_id, TankRange.quantity, TankRange.low, TankRange.high,
        TankRange.set_by, literal("").label("template"),
    ).where(TankRange.tank_id.in_(_TANKS))  # fmt: skip
    shared = (
        select(
            TankRow.id, TemplateRange.quantity, TemplateRange.low, TemplateRange.high,
            literal("").label("set_by"), TargetTemplate.name,
        )
        .join(TargetTemplate, TargetTemplate.id == TankRow.template_id)
        .join(TemplateRange, TemplateRange.template_id == TargetTemplate.id)
        .where(TankRow.id.in_(_TANKS))
    )  # fmt: skip
    return union_all(shared, own)


def _ranges(session: Session, tank_ids: Sequence[int]) -> dict[int, dict[Quantity, Range]]:
    """What holds for each tank, in one statement: its own range before that of its template."""
    found: dict[int, dict[Quantity, Range]] = defaultdict(dict)
    rows = session.execute(_ranges_query(), {"tanks": list(tank_ids)})
    for tank_id, name, low, high, set_by, template in rows:
        quantity = Quantity(name)
        held = found[tank_id].get(quantity)
        if held is None or held.template:
            found[tank_id][quantity] = Range(
                quantity=quantity, low=low, high=high, set_by=set_by, template=template
            )
    return found


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
        template_id=row.template_id,
        room=row.room,
        round=row.round,
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
