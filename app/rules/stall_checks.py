"""What may keep a filter from growing: to be looked at in order, with what the record answers."""

from dataclasses import dataclass
from typing import Final

from app.domain.quantities import Quantity
from app.domain.records import Entry, JobKind, Rinse, Sign, Treated
from app.domain.snapshot import TankSnapshot, last
from app.domain.wording import reading_text, when_text
from app.knowledge.model import Knowledge

_STOPPED: Final = frozenset({Sign.FILTER_OFF, Sign.FILTER_SLOW, Sign.POWER_CUT})


@dataclass(frozen=True, slots=True, kw_only=True)
class StallCheck:
    """One thing to look at. `found`: the record points here; None: the record cannot tell.

    `key` names the check for the pages that show where its answer is written down.
    """

    key: str
    title: str
    answer: str
    found: bool | None


def stall_checks(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[StallCheck, ...]:
    """All checks in the order in which to make them.

    Source: oxygen, chlorine, acid, cold and too much ammonia slow the bacteria: common practice;
    numbers in `knowledge/maturing.toml`.
    """
    return (
        _filter_runs(snapshot, knowledge),
        _chlorine(snapshot, knowledge),
        _acid(snapshot, knowledge),
        _cold(snapshot, knowledge),
        _too_much(snapshot, knowledge),
        _media(snapshot, knowledge),
        _treatment(snapshot, knowledge),
        _kit(snapshot),
    )


def _filter_runs(snapshot: TankSnapshot, knowledge: Knowledge) -> StallCheck:
    back = knowledge.value("stall.back-days")
    stopped = last(
        [
            o
            for o in snapshot.observations
            if _days_ago(o, snapshot) <= back and _STOPPED & set(o.signs)
        ]
    )
    title = "Does the filter run day and night?"
    if stopped is None:
        return StallCheck(
            key="filter", title=title, answer="Nobody wrote that it stopped. Look.", found=None
        )
    at = when_text(stopped.happened_at, snapshot.site.zone, snapshot.as_of)
    return StallCheck(
        key="filter", title=title, answer=f"It was slow or off: written {at}.", found=True
    )


def _chlorine(snapshot: TankSnapshot, knowledge: Knowledge) -> StallCheck:
    back = knowledge.value("stall.chlorine-days")
    jobs = snapshot.jobs_of(JobKind.WATER_CHANGE, JobKind.TOP_UP)
    near = [j for j in jobs if _days_ago(j, snapshot) <= back]
    title = "Did untreated tap water go in?"
    if any(j.treated is Treated.NO for j in near):
        return StallCheck(
            key="chlorine", title=title, answer="Yes, as written in the story.", found=True
        )
    if any(j.treated is not Treated.YES for j in near):
        return StallCheck(
            key="chlorine", title=title, answer="Nobody wrote whether it was treated.", found=None
        )
    answer = "All new water was treated." if near else "No new water is written in a week."
    return StallCheck(key="chlorine", title=title, answer=answer, found=False)


def _acid(snapshot: TankSnapshot, knowledge: Knowledge) -> StallCheck:
    title = "Is there enough buffer (KH), and is pH high enough?"
    tests = [(snapshot.latest(Quantity.KH), "KH", "stall.kh"),
             (snapshot.latest(Quantity.PH), "pH", "stall.ph")]  # fmt: skip
    shown = [f"{name} {reading_text(r, snapshot.site)}" for r, name, _ in tests if r is not None]
    if any(r is not None and r.best < knowledge.value(key) for r, _, key in tests):
        answer = f"{', '.join(shown)}: too low. Small changes with tap water help."
        return StallCheck(key="acid", title=title, answer=answer, found=True)
    missing = [name for r, name, _ in tests if r is None]
    if missing:
        shown.append(f"nobody has tested {' or '.join(missing)}")
    answer = f"{', '.join(shown)}."
    answer = answer[0].upper() + answer[1:] if answer.startswith("nobody") else answer
    return StallCheck(key="acid", title=title, answer=answer, found=None if missing else False)


def _cold(snapshot: TankSnapshot, knowledge: Knowledge) -> StallCheck:
    title = "Is it warm enough?"
    reading = snapshot.latest(Quantity.TEMPERATURE)
    if reading is None:
        return StallCheck(
            key="cold", title=title, answer="Nobody has read the thermometer.", found=None
        )
    cold = reading.best < knowledge.value("stall.cold")
    answer = f"{reading_text(reading, snapshot.site)}."
    return StallCheck(key="cold", title=title, answer=answer, found=cold)


def _too_much(snapshot: TankSnapshot, knowledge: Knowledge) -> StallCheck:
    title = "Is there too much at once?"
    ammonia, nitrite = snapshot.latest(Quantity.AMMONIA), snapshot.latest(Quantity.NITRITE)
    if ammonia is not None and ammonia.best > knowledge.value("stall.too-much"):
        answer = "Ammonia is so high that it slows the bacteria. Add none."
        return StallCheck(key="too-much", title=title, answer=answer, found=True)
    if nitrite is not None and nitrite.most is None:
        answer = (
            "Nitrite is beyond the card. Mix one part of the sample with four parts of pure "
            "water, test, and multiply by five."
        )
        return StallCheck(key="too-much", title=title, answer=answer, found=True)
    known = ammonia is not None and nitrite is not None
    answer = "The last tests are within the card." if known else "Test ammonia and nitrite."
    return StallCheck(key="too-much", title=title, answer=answer, found=False if known else None)


def _media(snapshot: TankSnapshot, knowledge: Knowledge) -> StallCheck:
    title = "Was the filter material washed in tap water, or all replaced?"
    back = knowledge.value("stall.back-days")
    jobs = snapshot.jobs_of(JobKind.FILTER_RINSE, JobKind.MEDIA_REPLACED)
    near = [j for j in jobs if _days_ago(j, snapshot) <= back]
    if any(j.rinse is Rinse.TAP or (j.media_share or 0.0) >= 1.0 for j in near):
        return StallCheck(
            key="media", title=title, answer="Yes, as written in the story.", found=True
        )
    return StallCheck(
        key="media", title=title, answer="Nothing of the kind is written.", found=False
    )


def _treatment(snapshot: TankSnapshot, knowledge: Knowledge) -> StallCheck:
    title = "Was the tank treated for a disease?"
    back = knowledge.value("stall.back-days")
    treated = last(snapshot.jobs_of(JobKind.TREATMENT))
    if treated is not None and _days_ago(treated, snapshot) <= back:
        answer = "Yes. Some treatments harm the filter: its label says."
        return StallCheck(key="treatment", title=title, answer=answer, found=True)
    return StallCheck(key="treatment", title=title, answer="No treatment is written.", found=False)


def _kit(snapshot: TankSnapshot) -> StallCheck:
    title = "Is it the test kit?"
    tests = [snapshot.latest(q) for q in (Quantity.AMMONIA, Quantity.NITRITE)]
    if any(r is not None and r.kit_doubtful for r in tests):
        return StallCheck(key="kit", title=title, answer="The kit is past its date.", found=True)
    answer = "Shake the bottles well, and test a known sample."
    return StallCheck(key="kit", title=title, answer=answer, found=None)


def _days_ago(entry: Entry, snapshot: TankSnapshot) -> int:
    return (snapshot.today - entry.local_day).days
