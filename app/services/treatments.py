"""The arithmetic of a label that an adult typed, and what a running treatment reminds of."""

from dataclasses import dataclass

from app.domain.calendar import local_day
from app.domain.measures import glass_of, net_volume
from app.domain.records import Job, JobKind, Treatment
from app.domain.snapshot import TankSnapshot, last
from app.science.dilution import removed_by_change


@dataclass(frozen=True, slots=True)
class LabelSum:
    """What a label comes to, in mL: on the water, and on the glass filled to the rim.

    `net_l` is what the sum was made for; None where a measure is missing.
    """

    label_ml: float
    label_l: float
    net_l: float | None
    full_l: float | None
    net_ml: float | None
    full_ml: float | None

    @property
    def too_much_ml(self) -> float | None:
        """How much more the full glass would ask for than the water does."""
        if self.net_ml is None or self.full_ml is None:
            return None
        return self.full_ml - self.net_ml


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """The last treatment: whether it still runs, and what went out with later changes.

    `removed_ml` is the part of the amount that water changes took out since; None where the
    amount, the liters or the volume is unknown. `changed` tells whether water was changed at all.
    """

    job: Job
    treatment: Treatment
    runs: bool
    changed: bool
    removed_ml: float | None
    carbon_back: bool


def label_sum(snapshot: TankSnapshot, label_ml: float, label_l: float) -> LabelSum:
    """The label's milliliters for this tank.

    Args:
        snapshot: The tank.
        label_ml: Milliliters that the label names, above 0.
        label_l: Liters of water it names them for, above 0.
    """
    shape = snapshot.tank.shape
    net = net_volume(shape)
    full = glass_of(shape).volume_l(shape.rim_cm) if shape.rim_cm else None
    net_l = net.net_l if net else None
    per_l = label_ml / label_l
    return LabelSum(
        label_ml,
        label_l,
        net_l,
        full,
        None if net_l is None else per_l * net_l,
        None if full is None else per_l * full,
    )


def course(snapshot: TankSnapshot) -> Course | None:
    """The last treatment with its reminders, or None where none with a label is written."""
    given = [j for j in snapshot.jobs_of(JobKind.TREATMENT) if j.treatment is not None]
    newest = last(given)
    if newest is None or newest.treatment is None:
        return None
    record = newest.treatment
    began = local_day(newest.happened_at, snapshot.site.zone)
    runs = snapshot.today <= (record.until or began)
    later = [
        j for j in snapshot.jobs_of(JobKind.WATER_CHANGE) if j.happened_at > newest.happened_at
    ]
    return Course(
        job=newest,
        treatment=record,
        runs=runs,
        changed=bool(later),
        removed_ml=_removed(record, later, snapshot),
        carbon_back=not runs and record.carbon_out is True,
    )


def _removed(record: Treatment, changes: list[Job], snapshot: TankSnapshot) -> float | None:
    net = net_volume(snapshot.tank.shape)
    if net is None or record.amount_ml is None or not changes:
        return None
    left = record.amount_ml
    for each in changes:
        if each.liters_out is None:
            return None
        left -= removed_by_change(left, min(1.0, each.liters_out / net.net_l))
    return record.amount_ml - left
