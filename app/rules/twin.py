"""A test that does not fit what the record had led to expect."""

from typing import Final

from app.domain.quantities import FACTS, Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import in_sentence, range_text, reading_text
from app.estimates.model import NOT_MEASURED
from app.estimates.twin import Compared, Fit, compared
from app.estimates.twin_causes import WASTE, Cause, causes, most_useful
from app.knowledge.model import Knowledge
from app.rules.maturing import stage
from app.rules.model import Finding, Rule, Severity
from app.rules.showing import limit, of_reading, remark
from app.rules.testing import retest

_TUBES: Final = (Quantity.NITRATE, Quantity.AMMONIA, Quantity.NITRITE, Quantity.PH, Quantity.KH,
                 Quantity.GH)  # fmt: skip
_LIMITS: Final = {
    "twin.days": "Held against the pace as it was before",
    "twin.causes-days": "Causes are looked for in the last",
    "twin.off": "A meter may be off by",
    "twin.spreads": "By its history, spreads from the median",
    "twin.least-readings": "By its history from",
}


def does_not_add_up(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The newest test does not fit what the record had led to expect.

    What: nitrate, ammonia, nitrite, pH, KH or GH lies beyond the expected range with its own
        range, in a tank with animals; what a filter makes only once it is ready. Watch at most; a
        test that fits ends it. What rests on meals and changes of which the record at hand, 60
        days, holds too few is told no more: by then its shelf life asks for the same test.
    Why: a reading that cannot be explained is a slip, or something nobody saw.
    Source: nitrate by the pace of its own tests, the food and the changes; KH by what the filter
        uses; the others by the median of their own history. Edges tried out on simulated tanks.
    Bad: 10 after a change, 14 days of 0.25 g, a card that says 40. Good: a card that says 20.
    """
    if not snapshot.expected_fish:
        return ()
    ready = stage(snapshot, knowledge).ready
    tubes = (q for q in _TUBES if ready or q not in WASTE)
    found = (compared(quantity, snapshot, knowledge) for quantity in tubes)
    return tuple(
        _finding(each, snapshot, knowledge)
        for each in found
        if each is not None and each.fit is not Fit.FITS
    )


def _finding(found: Compared, snapshot: TankSnapshot, knowledge: Knowledge) -> Finding:
    reading = found.reading
    label = in_sentence(FACTS[reading.quantity].label)
    expected = range_text(reading.quantity, found.expected.low, found.expected.high, snapshot.site)
    return Finding(
        rule_id="water.twin",
        severity=Severity.WATCH,
        action=retest(reading.quantity),
        reason=(
            f"Something does not add up: {label} reads {reading_text(reading, snapshot.site)}. "
            f"From what was written, {expected} was expected ({NOT_MEASURED}). {_advice(found)}"
        ),
        child_reason="Something does not add up. Test once more.",
        due_at=reading.at,
        clears_when=f"A test of {label} fits what is expected.",
        counterfactual=f"With {label} of {expected} this would not be here.",
        evidence=(of_reading(reading, snapshot),),
        working=(
            remark(f"Expected by {found.expected.way.value}: {expected}, {NOT_MEASURED}"),
            *(remark(_words(cause)) for cause in causes(found, snapshot, knowledge)),
            remark(most_useful(found)),
        ),
        limits=tuple(limit(knowledge, key, words) for key, words in _LIMITS.items()),
        quantity=reading.quantity,
        certain=False,
    )


def _advice(found: Compared) -> str:
    if found.reading.quantity is Quantity.TEMPERATURE:
        return "Read it again with another thermometer."
    again = "Test again with a fresh tube."
    if found.fit is Fit.MORE and found.reading.quantity in WASTE:
        return f"{again} Look for a dead fish, and count. Was there extra food?"
    return again


def _words(cause: Cause) -> str:
    return f"It may be: {cause.what} {cause.written}".strip()


RULES: Final = (
    Rule(
        id="water.twin",
        title="A test does not add up",
        why="A reading that cannot be explained is a slip, or something nobody saw.",
        limits=tuple(_LIMITS),
        check=does_not_add_up,
        lesson="A number that surprises us is worth a second look.",
    ),
)
