"""All working-out pages, in the order of the list."""

from typing import Final

from app.services.workings.ammonia import AMMONIA_PART
from app.services.workings.baseline import BASELINE
from app.services.workings.bed import SAND, WEIGHT
from app.services.workings.carbonate import CARBON_DIOXIDE, KH_USED
from app.services.workings.change import CHANGE
from app.services.workings.cooling import COOLING
from app.services.workings.feeding import NITRATE_FROM_FOOD
from app.services.workings.hardness import HARDNESS_UNITS, MINERALS
from app.services.workings.heat import HEATER
from app.services.workings.maturing import MATURING
from app.services.workings.mixing import MIXING
from app.services.workings.model import Theme, Working
from app.services.workings.oxygen import OXYGEN_FULL
from app.services.workings.scoop import SCOOP
from app.services.workings.settle import SETTLE
from app.services.workings.standing import CONDITIONER, STANDING
from app.services.workings.top_up import TOP_UP
from app.services.workings.unit_book import NITROGEN_UNITS, UNIT_BOOK
from app.services.workings.volume import BUCKETS, VOLUME

WORKINGS: Final[tuple[Working, ...]] = (
    VOLUME,
    BUCKETS,
    SAND,
    WEIGHT,
    CHANGE,
    MIXING,
    TOP_UP,
    SETTLE,
    BASELINE,
    SCOOP,
    UNIT_BOOK,
    CONDITIONER,
    STANDING,
    AMMONIA_PART,
    CARBON_DIOXIDE,
    HARDNESS_UNITS,
    MINERALS,
    NITROGEN_UNITS,
    OXYGEN_FULL,
    HEATER,
    COOLING,
    NITRATE_FROM_FOOD,
    KH_USED,
    MATURING,
)


def working(slug: str) -> Working | None:
    """The page with this name in its address, or None."""
    return next((w for w in WORKINGS if w.slug == slug), None)


def by_theme(*, for_adults: bool) -> tuple[tuple[Theme, tuple[Working, ...]], ...]:
    """The pages that may be opened, under their headings; headings without one are left out."""
    open_to = [w for w in WORKINGS if for_adults or not w.for_adults]
    found = ((theme, tuple(w for w in open_to if w.theme is theme)) for theme in Theme)
    return tuple((theme, pages) for theme, pages in found if pages)
