"""The range of warmth in force: the tank's own, else what its animals need, else the general."""

from dataclasses import dataclass

from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import bare_degrees, degrees, listed
from app.knowledge.model import Knowledge
from app.rules.living import living
from app.rules.model import LimitShown
from app.rules.shared_water import SharedRange, needed
from app.rules.showing import limit, own_limit


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmthRange:
    """A range in °C; `limits` say where its ends come from, `needs` is set where animals do."""

    low: float
    high: float
    limits: tuple[LimitShown, ...]
    needs: SharedRange | None = None


def warmth_range(snapshot: TankSnapshot, knowledge: Knowledge) -> WarmthRange:
    """The range in force for this tank.

    An end that somebody set for the tank wins. Where the needs of the animals share nothing,
    or nobody knows them, the general range stays.
    """
    own = snapshot.tank.own_range(Quantity.TEMPERATURE)
    needs = needed(living(snapshot, knowledge), Quantity.TEMPERATURE)
    low = knowledge.value("temperature.general-low") if needs is None else needs.low
    high = knowledge.value("temperature.general-high") if needs is None else needs.high
    if own is not None:
        low = low if own.low is None else own.low
        high = high if own.high is None else own.high
        text = f"Range {bare_degrees(snapshot.site, low)} to {degrees(snapshot.site, high)}"
        return WarmthRange(low=low, high=high, limits=(own_limit(text, own.said),), needs=needs)
    if needs is not None:
        return WarmthRange(low=low, high=high, limits=_by_needs(needs, snapshot), needs=needs)
    general = (
        limit(knowledge, "temperature.general-low", "General range from"),
        limit(knowledge, "temperature.general-high", "General range to"),
    )
    return WarmthRange(low=low, high=high, limits=general)


def _by_needs(needs: SharedRange, snapshot: TankSnapshot) -> tuple[LimitShown, ...]:
    basis = "what the animals here need; see each in the catalogue"
    return (
        LimitShown(
            f"From {degrees(snapshot.site, needs.low)}, set by {listed(needs.low_by)}", "", basis
        ),
        LimitShown(
            f"To {degrees(snapshot.site, needs.high)}, set by {listed(needs.high_by)}", "", basis
        ),
    )
