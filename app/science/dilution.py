"""Water changes: how far they take a value, where repeated ones settle, how warm they leave it.

All of it is a balance of mass for what dissolves and stays: nitrate, hardness, alkalinity. It does
not hold for pH. Fractions are of the net volume; the gallons on the box make them too small.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from app.science.bounds import FloatOrArray, require_above_zero, require_within
from app.science.units import MOLAR_MASS_N

# g/mol, from the abridged standard atomic weights (IUPAC 2021)
MOLAR_MASS_CL2 = 70.90


class CannotBeReached(ValueError):  # a finding about the tap water, not a fault
    """With this tap water no water change arrives at the target."""

    def __init__(self, *, target: float, tap: float) -> None:
        super().__init__(f"{target:g} cannot be reached with tap water of {tap:g}")
        self.target = target
        self.tap = tap


@dataclass(frozen=True, slots=True)
class SettlePoint:
    """Where a value ends when the same change is repeated for ever; units of the value."""

    before_change: float
    after_change: float


def after_change(value: FloatOrArray, tap: FloatOrArray, fraction: FloatOrArray) -> FloatOrArray:
    """Value after one water change.

    Args:
        value: Concentration in the tank before, at least 0; any unit and shape.
        tap: Concentration in the new water, same unit and shape.
        fraction: Share of the net volume changed, 0 to 1; same shape.

    Returns:
        Concentration after mixing, in the unit of ``value``.

    Raises:
        ValueError: If a value lies outside its range.
    """
    return after_changes(value, tap, fraction, 1)


def after_changes(
    value: FloatOrArray, tap: FloatOrArray, fraction: FloatOrArray, times: int
) -> FloatOrArray:
    """Value after several equal water changes with nothing added in between.

    Args:
        value: Concentration in the tank before, at least 0; any unit and shape.
        tap: Concentration in the new water, same unit and shape.
        fraction: Share of the net volume changed each time, 0 to 1; same shape.
        times: Number of changes, at least 0.

    Returns:
        Concentration after the last change, in the unit of ``value``.

    Raises:
        ValueError: If a value lies outside its range.
    """
    require_within("value", value, 0.0)
    require_within("tap", tap, 0.0)
    require_within("fraction", fraction, 0.0, 1.0)
    require_within("times", times, 0)
    return tap + (value - tap) * (1.0 - fraction) ** times


def fraction_for_target(value: float, target: float, tap: float) -> float:
    """Share of the net volume to change, at once, so that a value arrives at a target.

    Works in both directions: nitrate down, alkalinity up. Whether the value needs to move at all
    is for the caller to decide.

    Args:
        value: Concentration in the tank, at least 0.
        target: Concentration wanted, at least 0, same unit.
        tap: Concentration in the new water, at least 0, same unit.

    Returns:
        Fraction from 0 (already there) to below 1.

    Raises:
        CannotBeReached: If the target does not lie between value and tap water, or is the tap
            water's own value.
        ValueError: If a value is negative.
    """
    for name, amount in (("value", value), ("target", target), ("tap", tap)):
        require_within(name, amount, 0.0)
    if value == target:
        return 0.0
    if math.isnan(value + target + tap):
        return math.nan
    if not min(value, tap) < target < max(value, tap):
        raise CannotBeReached(target=target, tap=tap)
    return (value - target) / (value - tap)


def changes_for_target(value: float, target: float, tap: float, fraction: float) -> int:
    """Number of equal water changes until a value has arrived at a target or passed it.

    Args:
        value: Concentration in the tank, at least 0.
        target: Concentration wanted, at least 0, same unit.
        tap: Concentration in the new water, at least 0, same unit.
        fraction: Share of the net volume changed each time, above 0 and below 1.

    Returns:
        Number of changes, at least 0.

    Raises:
        CannotBeReached: As ``fraction_for_target``.
        ValueError: If a value lies outside its range.
    """
    if not 0.0 < fraction < 1.0:
        raise ValueError("fraction must be above 0 and below 1")
    at_once = fraction_for_target(value, target, tap)
    if math.isnan(at_once):
        raise ValueError("value, target and tap must be known")
    needed = math.log(1.0 - at_once) / math.log(1.0 - fraction)
    return math.ceil(needed - 1e-9)  # 40 % asked for by 40 % is one change, not two


def settles_at(tap: float, change_per_interval: float, fraction: float) -> SettlePoint:
    """Value at which a tank settles between equal, regular water changes.

    Args:
        tap: Concentration in the new water, at least 0.
        change_per_interval: What the tank itself adds between two changes, in the unit of ``tap``;
            negative where it uses something up, as the filter uses alkalinity.
        fraction: Share of the net volume changed each time, above 0, at most 1.

    Returns:
        The value just before and just after a change. Below zero means: used up before it settles.

    Raises:
        ValueError: If a value lies outside its range; without any change nothing settles.
    """
    require_within("tap", tap, 0.0)
    require_within("fraction", fraction, 0.0, 1.0)
    require_above_zero("fraction", fraction)
    before = tap + change_per_interval / fraction
    return SettlePoint(before_change=before, after_change=before - change_per_interval)


def fraction_to_hold(target: float, tap: float, change_per_interval: float) -> float:
    """Share to change every time so that the value just before a change settles at a target.

    Args:
        target: Value wanted just before each change, at least 0.
        tap: Concentration in the new water, at least 0, same unit.
        change_per_interval: What the tank adds between two changes, at least 0, same unit.

    Returns:
        Fraction from 0 to 1.

    Raises:
        CannotBeReached: If the target is not above the tap water, or even changing all of the
            water at this interval would not hold it.
        ValueError: If a value is negative.
    """
    for name, amount in (
        ("target", target),
        ("tap", tap),
        ("change_per_interval", change_per_interval),
    ):
        require_within(name, amount, 0.0)
    if target <= tap or change_per_interval > target - tap:
        raise CannotBeReached(target=target, tap=tap)
    return change_per_interval / (target - tap)


def after_evaporation(value: float, volume_l: float, lost_l: float) -> float:
    """Value after water has evaporated and left everything dissolved behind.

    Args:
        value: Concentration at the full level, at least 0.
        volume_l: Net volume at the full level, above 0.
        lost_l: Water evaporated, at least 0, less than ``volume_l``.

    Returns:
        Concentration in the smaller volume, in the unit of ``value``.

    Raises:
        ValueError: If a value lies outside its range.
    """
    require_within("value", value, 0.0)
    require_within("lost_l", lost_l, 0.0)
    if lost_l >= volume_l:
        raise ValueError("lost_l must be less than volume_l")
    return value * volume_l / (volume_l - lost_l)


def after_top_up(value: float, top_up: float, volume_l: float, added_l: float) -> float:
    """Value after water was added and none taken out.

    A top-up is no water change: with what the evaporation left behind it adds the top-up water's
    own load and removes nothing.

    Args:
        value: Concentration before, at the low level, at least 0.
        top_up: Concentration in the water added, at least 0, same unit.
        volume_l: Net volume before, at the low level, above 0.
        added_l: Water added, at least 0.

    Returns:
        Concentration after, in the unit of ``value``.

    Raises:
        ValueError: If a value is negative.
    """
    for name, amount in (("value", value), ("top_up", top_up), ("added_l", added_l)):
        require_within(name, amount, 0.0)
    require_above_zero("volume_l", volume_l)
    return (value * volume_l + top_up * added_l) / (volume_l + added_l)


def rise_from_top_ups(top_up: float, evaporated_l: float, volume_l: float) -> float:
    """What replacing evaporated water adds, in the unit of ``top_up``, at the full level.

    Give it to ``settles_at`` to see where hardness ends between regular changes.

    Args:
        top_up: Concentration in the top-up water, at least 0; about 0 for rain or filtered water.
        evaporated_l: Water evaporated and replaced, at least 0.
        volume_l: Net volume at the full level, above 0.

    Raises:
        ValueError: If a value is negative.
    """
    require_within("top_up", top_up, 0.0)
    require_within("evaporated_l", evaporated_l, 0.0)
    require_above_zero("volume_l", volume_l)
    return top_up * evaporated_l / volume_l


def mixing_temperature(tank_c: float, remaining_l: float, new_c: float, new_l: float) -> float:
    """Temperature after new water is mixed in at once.

    Glass and sand hold heat too, so that the tank changes a little less than this.

    Args:
        tank_c: Temperature of the water left in the tank, °C, 0 to 60.
        remaining_l: Water left in the tank, at least 0.
        new_c: Temperature of the new water, °C, 0 to 60.
        new_l: New water, at least 0.

    Returns:
        Mean by volume, °C. The exact balance of heat differs by less than 0.05 °C where a tank of
        18 to 30 °C gets new water of 5 to 40 °C.

    Raises:
        ValueError: If a value lies outside its range, or there is no water at all.
    """
    require_within("tank_c", tank_c, 0.0, 60.0)
    require_within("new_c", new_c, 0.0, 60.0)
    require_within("remaining_l", remaining_l, 0.0)
    require_within("new_l", new_l, 0.0)
    require_above_zero("remaining_l + new_l", remaining_l + new_l)
    return (tank_c * remaining_l + new_c * new_l) / (remaining_l + new_l)


def lowest_new_water_c(
    tank_c: float, remaining_l: float, new_l: float, allowed_drop_c: float
) -> float:
    """Coldest new water that lets the tank fall by no more than an allowed drop.

    Args:
        tank_c: Temperature of the water left in the tank, °C, 0 to 60.
        remaining_l: Water left in the tank, at least 0.
        new_l: New water, above 0.
        allowed_drop_c: Largest drop allowed, °C, at least 0.

    Returns:
        Temperature in °C. It may lie below freezing: then no tap water is too cold.

    Raises:
        ValueError: If a value lies outside its range.
    """
    require_within("tank_c", tank_c, 0.0, 60.0)
    require_within("remaining_l", remaining_l, 0.0)
    require_within("allowed_drop_c", allowed_drop_c, 0.0)
    require_above_zero("new_l", new_l)
    return tank_c - allowed_drop_c * (remaining_l + new_l) / new_l


def conditioner_ml(new_water_l: float, label_ml: float, label_l: float) -> float:
    """Amount of tap-water conditioner by the figure on its own label.

    Args:
        new_water_l: The water to be treated, in liters, at least 0. Where the label asks for the
            whole tank when conditioner goes into it, give the net volume.
        label_ml: Milliliters that the label names, above 0.
        label_l: Liters of water that the label names for them, above 0.

    Returns:
        Milliliters; the label and not this figure is what counts.

    Raises:
        ValueError: If a value lies outside its range.
    """
    require_within("new_water_l", new_water_l, 0.0)
    require_above_zero("label_ml", label_ml)
    require_above_zero("label_l", label_l)
    return new_water_l * label_ml / label_l


def salt_g(target_g_per_l: float, volume_l: float) -> float:
    """Salt that brings salt-free water to a concentration: arithmetic for a label, no advice.

    Args:
        target_g_per_l: Grams per liter that a label names, at least 0; not percent.
        volume_l: Net water volume in liters, at least 0.

    Returns:
        Grams of salt.

    Raises:
        ValueError: If a value is negative.
    """
    require_within("target_g_per_l", target_g_per_l, 0.0)
    require_within("volume_l", volume_l, 0.0)
    return target_g_per_l * volume_l


def removed_by_change(amount: float, fraction: float) -> float:
    """Share of an additive that a water change took out, and so all that replaces it.

    Evaporation takes out nothing, and a top-up replaces nothing.

    Args:
        amount: What the whole tank held, at least 0, in g or mL.
        fraction: Share of the net volume changed, 0 to 1.

    Returns:
        The part taken out, in the unit of ``amount``.

    Raises:
        ValueError: If a value lies outside its range.
    """
    require_within("amount", amount, 0.0)
    require_within("fraction", fraction, 0.0, 1.0)
    return amount * fraction


def n_from_chloramine(chloramine_mg_per_l: FloatOrArray) -> FloatOrArray:
    """Ammonia that chloramine in tap water leaves behind when conditioner takes its chlorine.

    ``after_change`` turns it, with the ammonia that the tap water holds already, into what a
    change brings into the tank.

    Args:
        chloramine_mg_per_l: Chloramine in mg/L as Cl2, as water reports give it, at least 0.

    Returns:
        Total ammonia in the new water in mg/L as N.

    Raises:
        ValueError: If a value is negative.

    Source:
        Stoichiometry: one N for each Cl2 of chlorine residual in monochloramine.
    """
    require_within("chloramine_mg_per_l", chloramine_mg_per_l, 0.0)
    return chloramine_mg_per_l * MOLAR_MASS_N / MOLAR_MASS_CL2
