"""Several readers of one tube: the middle value, the widest bounds. Color steps are no average."""

import statistics
from collections.abc import Callable
from dataclasses import dataclass, replace

# readers of one tube that a form takes; more would only repeat the middle
MOST_READERS = 5


@dataclass(frozen=True, slots=True)
class Seen:
    """What one reader saw; `value`, `low`, `high` as in `records.Reading`, in the same unit.

    `typed` is what stood on the page, `reader` the nickname on the tile of the author called
    `reader_id`, or an empty text.
    """

    value: float | None
    low: float | None = None
    high: float | None = None
    typed: str = ""
    reader: str = ""
    reader_id: int | None = None

    @property
    def is_color(self) -> bool:
        """Whether it is a color of a card, and not a number."""
        return self.low is not None

    @property
    def place(self) -> float:
        """Where it stands among the others: beyond the ends of a card come first and last."""
        if self.value is not None:
            return self.value
        return float("inf") if self.high is None else float("-inf")


@dataclass(frozen=True, slots=True)
class Tube:
    """One tube as a whole; the readers stand as they were written, one at least."""

    seen: tuple[Seen, ...]

    @property
    def is_color(self) -> bool:
        """Whether a card was read."""
        return any(each.is_color for each in self.seen)

    @property
    def in_order(self) -> tuple[Seen, ...]:
        """The readers from the lowest to the highest."""
        return tuple(sorted(self.seen, key=lambda each: each.place))

    @property
    def middle(self) -> Seen:
        """The reader in the middle; of an even number the higher one."""
        return self.in_order[len(self.seen) // 2]

    @property
    def agreed(self) -> bool:
        """Whether all saw the same."""
        return len({each.place for each in self.seen}) == 1

    def through(self, convert: Callable[[float], float]) -> "Tube":
        """The same tube in another unit; `convert` must not turn the order round."""

        def or_none(value: float | None) -> float | None:
            return None if value is None else convert(value)

        return Tube(
            tuple(
                replace(s, value=or_none(s.value), low=or_none(s.low), high=or_none(s.high))
                for s in self.seen
            )
        )

    @property
    def value(self) -> float | None:
        """The middle color, None beyond the ends of the card; the median of numbers."""
        if self.is_color:
            return self.middle.value
        numbers = [each.value for each in self.seen if each.value is not None]
        return float(statistics.median(numbers)) if numbers else None

    @property
    def low(self) -> float | None:
        """The lowest it could be; None for one number."""
        if len(self.seen) == 1:
            return self.seen[0].low
        return min(each.place if each.low is None else each.low for each in self.seen)

    @property
    def high(self) -> float | None:
        """The highest it could be; None for one number, and where one saw no upper end."""
        if len(self.seen) == 1:
            return self.seen[0].high
        ends = [each.high if each.is_color else each.place for each in self.seen]
        known = [end for end in ends if end is not None]
        return max(known) if len(known) == len(ends) else None
