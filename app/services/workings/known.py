"""What the record knows and a page may fill in: measures and plans, never readings of the water."""

from app.domain.measures import fall_l, net_volume
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.knowledge.model import Knowledge


def net_l(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:  # noqa: ARG001
    """The net volume in liters."""
    volume = net_volume(snapshot.tank.shape)
    return None if volume is None else volume.net_l


def planned_percent(snapshot: TankSnapshot, knowledge: Knowledge) -> float:  # noqa: ARG001
    """The share of the planned water change in percent."""
    return snapshot.tank.plan.water_change_percent


def planned_l(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:
    """The liters of the planned water change."""
    net = net_l(snapshot, knowledge)
    return None if net is None else net * planned_percent(snapshot, knowledge) / 100.0


def allowed_drop_c(snapshot: TankSnapshot, knowledge: Knowledge) -> float:  # noqa: ARG001
    """The drop of temperature that a water change may bring, in °C."""
    return knowledge.value("change.cool")


def tap_nitrate(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:  # noqa: ARG001
    """The tap water's nitrate as it stands in Settings, in mg/L as nitrate."""
    return snapshot.site.tap_value(Quantity.NITRATE)


def centimeter_l(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:  # noqa: ARG001
    """Liters in the first centimeter below the water line."""
    return fall_l(snapshot.tank.shape, 1.0)
