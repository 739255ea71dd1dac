"""What is found in a month: one feature with all that its questions are worked out of."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean
from typing import Final

from app.domain.features import Change, Feature, FeatureKind, Row
from app.domain.quantities import FACTS
from app.domain.wording import NBSP, in_sentence, with_unit
from app.services.lessons.numbers import added_up, rounded
from app.services.lessons.rows import MonthOf
from app.services.workings.model import Sum

TITLES: Final = {
    FeatureKind.OUTLIER: "One number far from all others",
    FeatureKind.READERS: "One tube, several answers",
    FeatureKind.STEP: "A step in the line",
    FeatureKind.HOLES: "Holes in the week",
    FeatureKind.GAP: "A gap in the line",
    FeatureKind.SETTLES: "Where it settles",
    FeatureKind.TREND: "A way up or down",
}


@dataclass(frozen=True, slots=True)
class Found:
    """A feature of one quantity in one month.

    `tap` is the tap water's value in the shown unit and `changes` the month's water changes, for
    the settle point only.
    """

    feature: Feature
    month: MonthOf
    tap: float | None = None
    changes: tuple[Change, ...] = ()

    @property
    def key(self) -> str:
        """The name in addresses: "temperature-gap"."""
        return f"{self.month.quantity.value}-{self.feature.kind.value}"

    @property
    def title(self) -> str:
        """What the lesson is called: "Temperature: a gap in the line"."""
        return f"{FACTS[self.month.quantity].label}: {in_sentence(TITLES[self.feature.kind])}"

    @property
    def rows(self) -> tuple[Row, ...]:
        """The readings that sums take."""
        return self.month.rows

    @property
    def values(self) -> list[float]:
        """Their numbers."""
        return [row.value for row in self.rows]

    @property
    def place(self) -> int:
        """The first place that the feature names."""
        return self.feature.places[0]

    @property
    def decimals(self) -> int:
        """Decimals of a reading."""
        return self.month.decimals

    @property
    def finer(self) -> int:
        """Decimals of a mean."""
        return self.month.decimals + 1

    def text(self, value: float, decimals: int | None = None) -> str:
        """A number with its unit."""
        number = rounded(value, self.decimals if decimals is None else decimals)
        return with_unit(number, self.month.unit.symbol.replace(" ", NBSP))

    def bare(self, value: float, decimals: int | None = None) -> str:
        """A number without its unit."""
        return rounded(value, self.decimals if decimals is None else decimals)

    def mean(self, what: str, values: Sequence[float]) -> Sum:
        """The sum of a mean of readings."""
        return Sum(
            what,
            f"({added_up(values, self.decimals)}) ÷ {len(values)} =",
            self.text(fmean(values), self.finer),
        )
