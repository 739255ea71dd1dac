"""Oxygen: what the water holds in balance with the air, and what a reading is of that."""

from typing import Final

from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, decimal, number, short
from app.knowledge.model import Knowledge
from app.science.oxygen import (
    percent_saturation,
    pressure_from_altitude_atm,
    saturation_mg_per_l,
)
from app.services.workings import both_units
from app.services.workings.model import Ask, Given, Sum, Theme, Worked, Working
from app.services.workings.units import CELSIUS, METERS, OXYGEN

_MG: Final = f"{NBSP}mg/L"
_STEP_C: Final = 2.0


def _work(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    warmth, height = given.number("warmth"), given.maybe("height") or 0.0
    measured = given.maybe("measured")
    pressure = pressure_from_altitude_atm(height)
    full = saturation_mg_per_l(warmth, pressure)
    sums = [
        Sum(
            f"Air pressure at {number(height, 0)}{NBSP}m",
            f"(1 − 2.25577 × 10⁻⁵ × {number(height, 0)})^5.25588 =",
            f"{decimal(pressure, 3)}{NBSP}atm",
        ),
        Sum(
            f"Oxygen in balance with air at {decimal(warmth, 1)}{NBSP}°C",
            "by the equation of Benson and Krause",
            f"{decimal(full, 2)}{_MG}",
        ),
    ]
    answer = f"Water of {both_units.warmth(warmth)} holds {decimal(full, 2)}{_MG} of oxygen."
    if measured is not None:
        percent = percent_saturation(measured, warmth, pressure)
        sums.append(
            Sum(
                "What was measured, in percent of that",
                f"{decimal(measured, 1)} ÷ {decimal(full, 2)} × 100 =",
                f"{decimal(percent, 0)}{NBSP}%",
            )
        )
        answer = (
            f"{decimal(measured, 1)}{_MG} are {decimal(percent, 0)}{NBSP}% of the "
            f"{decimal(full, 2)}{_MG} that this water holds in balance with the air."
        )
    return Worked(
        answer=answer,
        warning=_warning(measured, full, knowledge),
        sums=tuple(sums),
        remarks=(*_warmer(warmth, pressure, full), *_REMARKS),
        sources=("benson-krause-1984", "iso-2533"),
        basis="Fresh water, damp air. The pressure is that of the standard atmosphere: weather "
        "moves it by a few percent.",
    )


_REMARKS: Final = (
    "It is the balance with the air, not the most there can be: plants in light go above it.",
    "Lowest in the hour before the light goes on. A reading in the afternoon says little of that.",
)


def _warmer(warmth: float, pressure: float, full: float) -> tuple[str, ...]:
    if warmth + _STEP_C > _MOST_C:
        return ()
    less = full - saturation_mg_per_l(warmth + _STEP_C, pressure)
    return (f"{both_units.apart(_STEP_C)} warmer, it holds {decimal(less, 2)}{_MG} less.",)


_MOST_C: Final = 40.0


def _warning(measured: float | None, full: float, knowledge: Knowledge) -> str:
    emergency, act = knowledge.value("oxygen.emergency"), knowledge.value("oxygen.act")
    if measured is None:
        return ""
    if measured < emergency:
        return f"Below {short(emergency)}{_MG} more air at once: move the surface, add air."
    if measured < act:
        return (
            f"Fish should have {short(act)}{_MG} at least. Move the surface, feed nothing today, "
            "write the test down."
        )
    if measured < knowledge.value("oxygen.watch"):
        return "There is little in reserve for the night or a power cut. Move the surface more."
    if measured > full * knowledge.value("oxygen.full-watch") / 100.0:
        return (
            "That is far above the balance. By day with many plants it can be; else test once more."
        )
    return ""


def _height(snapshot: TankSnapshot, knowledge: Knowledge) -> float:  # noqa: ARG001
    return snapshot.site.elevation_m or 0.0


OXYGEN_FULL = Working(
    slug="oxygen",
    theme=Theme.WARMTH,
    title="Oxygen the water can hold",
    question="How much oxygen does this water hold, and how much of that is there?",
    asks=(
        Ask(
            name="warmth", label="Temperature", noun="the temperature", units=CELSIUS, low=0,
            high=40, quantity=Quantity.TEMPERATURE,
        ),
        Ask(
            name="height", label="Height above the sea", noun="the height", units=METERS,
            low=-500, high=5000, required=False, known=_height,
            hint="Empty: at the sea. Settings keeps it.",
        ),
        Ask(
            name="measured", label="Oxygen measured", noun="the oxygen measured", units=OXYGEN,
            low=0, high=30, required=False, quantity=Quantity.OXYGEN,
        ),
    ),
    work=_work,
)  # fmt: skip
