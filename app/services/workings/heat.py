"""A heater for the coldest hour of the room, what a cover saves, and what evaporates."""

from typing import Final

from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.tank import TankForm
from app.domain.wording import NBSP, decimal, number
from app.estimates.room import coldest_known_c
from app.knowledge.model import Knowledge
from app.science.heat import (
    BASE_W_PER_M2_C,
    COVER_W_PER_M2_C,
    GLASS_W_PER_M2_C,
    OPEN_SURFACE_W_PER_M2_C,
    HeatLoss,
    box_areas_m2,
    energy_kwh_per_day,
    evaporation_mm_per_day,
    heat_loss,
    heater_size_w,
)
from app.services.workings import both_units
from app.services.workings.model import Ask, Choose, Given, Sum, Theme, Worked, Working
from app.services.workings.units import CELSIUS, CENTIMETERS, PERCENT

_COVERS: Final = {"closed": "Closed cover", "open": "Open, or with a wide gap"}
_W: Final = f"{NBSP}W"


class _Tank:
    """The tank as a box in its room; a loss for either cover."""

    def __init__(self, given: Given) -> None:
        self.length, self.width, self.depth = (
            given.number(name) for name in ("length", "width", "water_depth")
        )
        self.glass_m2, self.base_m2 = box_areas_m2(self.length, self.width, self.depth)
        self.water_c, self.room_c = given.number("wanted"), given.number("room")
        self.damp = given.number("damp") / 100.0

    def loss(self, *, covered: bool) -> HeatLoss:
        return heat_loss(
            glass_m2=self.glass_m2,
            base_m2=self.base_m2,
            surface_m2=self.base_m2,
            water_c=self.water_c,
            room_c=self.room_c,
            relative_humidity=self.damp,
            covered=covered,
        )


def _work(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    tank, covered = _Tank(given), given.choices["cover"] == "closed"
    closed, bare = tank.loss(covered=True), tank.loss(covered=False)
    watts = (closed if covered else bare).total_w
    if watts <= 0.0:
        return _no_heater(tank)
    margin, step = knowledge.value("heater.margin"), knowledge.value("heater.step")
    size = heater_size_w(watts, margin, step)
    return Worked(
        answer=f"Holding {both_units.warmth(tank.water_c)} takes about {decimal(watts, 0)}{_W} "
        f"in the coldest hour: a heater of {decimal(size, 0)}{_W}, or the next larger one.",
        spread=f"Trust it to a quarter: from {decimal(watts * 0.75, 0)} to "
        f"{decimal(watts * 1.25, 0)}{_W} to hold it.",
        sums=(
            *_parts(tank, covered=covered),
            Sum(
                "Heater, with a margin, in full steps",
                f"{decimal(watts, 1)} × {number(margin, 1)} → up to",
                f"{decimal(size, 0)}{_W}",
            ),
            Sum(
                "If it were so cold all day",
                f"{decimal(watts, 1)} × 24 ÷ 1000 =",
                f"{decimal(energy_kwh_per_day(watts), 2)}{NBSP}kWh a day",
            ),
        ),
        remarks=(*_saved(closed, bare), *_evaporates(tank), *_REMARKS),
        sources=("iso-6946", "smith-1998"),
        basis="Heat through plane layers, and evaporation from a quiet surface; the figures for "
        "the cover and the floor are derived and weak. Half as much again is common practice.",
        cautions=("heater", "electricity"),
    )


_REMARKS: Final = (
    "What pumps and lamps give off is left out: they may stand still when it is coldest.",
    "Far too large is no good either: one that does not switch off overheats the tank.",
    "A round, six-sided or bow-front tank counts as the box around it: a little too much.",
)


def _no_heater(tank: _Tank) -> Worked:
    return Worked(
        answer="The room alone keeps it that warm, even in its coldest hour.",
        sums=(
            Sum(
                "Room against tank",
                f"{number(tank.room_c, 1)} − {number(tank.water_c, 1)} =",
                f"{decimal(tank.room_c - tank.water_c, 1)}{NBSP}°C",
            ),
        ),
        remarks=("A room that cools by night or over a break is another matter: measure there.",),
        sources=("iso-6946", "smith-1998"),
        cautions=("heater", "electricity"),
    )


def _parts(tank: _Tank, *, covered: bool) -> tuple[Sum, ...]:
    loss, apart = tank.loss(covered=covered), number(tank.water_c - tank.room_c, 1)
    surface = COVER_W_PER_M2_C if covered else OPEN_SURFACE_W_PER_M2_C
    lines = [
        ("Through the glass walls", GLASS_W_PER_M2_C, tank.glass_m2, loss.glass_w),
        ("Through the floor", BASE_W_PER_M2_C, tank.base_m2, loss.base_w),
        ("From the surface", surface, tank.base_m2, loss.surface_w),
    ]
    parts = [
        Sum(
            what,
            f"{number(per, 1)} × {decimal(area, 2)}{NBSP}m² × {apart}{NBSP}°C =",
            f"{decimal(watts, 1)}{_W}",
        )
        for what, per, area, watts in lines
    ]
    if not covered:
        damp = decimal(tank.damp * 100.0, 0)
        said = f"in air {damp}{NBSP}% damp"
        parts.append(Sum("By evaporation", said, f"{decimal(loss.evaporation_w, 1)}{_W}"))
    each = (loss.glass_w, loss.base_w, loss.surface_w, loss.evaporation_w)
    shown = each[:3] if covered else each
    text = " + ".join(decimal(watts, 1) for watts in shown)
    return (*parts, Sum("To hold the warmth", f"{text} =", f"{decimal(loss.total_w, 0)}{_W}"))


def _saved(closed: HeatLoss, bare: HeatLoss) -> tuple[str, ...]:
    saved = bare.total_w - closed.total_w
    return (
        (
            f"A closed cover saves about {decimal(saved, 0)}{_W}: with it "
            f"{decimal(max(closed.total_w, 0.0), 0)}, open {decimal(bare.total_w, 0)}{_W}."
        ),
    )


def _evaporates(tank: _Tank) -> tuple[str, ...]:
    fall = evaporation_mm_per_day(tank.water_c, tank.room_c, tank.damp)
    liters = fall * tank.base_m2  # a millimeter over a square meter is one liter
    return (
        (
            f"Open, about {decimal(fall, 1)}{NBSP}mm evaporate each day: "
            f"{both_units.liters(liters)}. Mind the heater’s water line."
        ),
    )


def _wanted(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:  # noqa: ARG001
    return snapshot.tank.set_point_c


def _room(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:  # noqa: ARG001
    return coldest_known_c(snapshot)


def _damp(snapshot: TankSnapshot, knowledge: Knowledge) -> float:  # noqa: ARG001
    return knowledge.value("heater.humidity")


def _cover(snapshot: TankSnapshot, knowledge: Knowledge) -> str:  # noqa: ARG001
    return {"open": "open", "gap": "open"}.get(snapshot.tank.cover, "closed")


def _length(snapshot: TankSnapshot, knowledge: Knowledge) -> float:  # noqa: ARG001
    return snapshot.tank.shape.length_cm


def _width(snapshot: TankSnapshot, knowledge: Knowledge) -> float:  # noqa: ARG001
    shape = snapshot.tank.shape
    return shape.width_cm + (shape.bow_cm if shape.form is TankForm.BOW_FRONT else 0.0)


def _depth(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:  # noqa: ARG001
    return snapshot.tank.shape.water_depth_cm


HEATER = Working(
    slug="heater",
    theme=Theme.WARMTH,
    title="A heater for the tank",
    question="How many watts hold the warmth, and what does a cover save?",
    asks=(
        Ask(
            name="wanted", label="How warm it is to be", noun="how warm it is to be",
            units=CELSIUS, low=5, high=40, known=_wanted, quantity=Quantity.TEMPERATURE,
        ),
        Ask(
            name="room", label="The room in its coldest hour", noun="the coldest hour of the room",
            units=CELSIUS, low=0, high=40, known=_room,
            hint="By night, in winter, over a break with the heating down.",
        ),
        Choose(name="cover", label="The cover", options=_COVERS, default="closed", known=_cover),
        Ask(
            name="length", label="Length", noun="the length", units=CENTIMETERS, low=1, high=1000,
            known=_length,
        ),
        Ask(
            name="width", label="Front to back", noun="the width", units=CENTIMETERS, low=1,
            high=1000, known=_width,
        ),
        Ask(
            name="water_depth", label="Depth of the water", noun="the depth of the water",
            units=CENTIMETERS, low=1, high=500, known=_depth,
        ),
        Ask(
            name="damp", label="Dampness of the room’s air", noun="the dampness of the air",
            units=PERCENT, low=0, high=100, known=_damp,
            hint="Half is usual; heated rooms in winter are drier.",
        ),
    ),
    work=_work,
)  # fmt: skip
