"""What findings show: evidence from entries, limits with their source, readings that decide."""

from collections.abc import Callable, Sequence

from app.domain.quantities import FACTS, Quantity
from app.domain.records import Entry, Feeding, Job, JobKind, Observation, Reading, StockEvent
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site
from app.domain.wording import count, known_amount, reading_text, short, value_text, water_amount
from app.knowledge.model import Knowledge
from app.rules.model import Evidence, LimitShown, Severity, WorkingLine


def remark(text: str) -> WorkingLine:
    """A remark beside the working."""
    return WorkingLine(text, is_remark=True)


def limit(knowledge: Knowledge, key: str, what: str) -> LimitShown:
    """A limit in words with its value, and where it comes from."""
    number = knowledge.numbers[key]
    text, in_fahrenheit = (
        f"{what}: {known_amount(number.value, number.unit, fahrenheit=f)}" for f in (False, True)
    )
    return LimitShown(text, number.source, number.basis.value, in_fahrenheit)


def own_limit(text: str, said: str = "this tank’s plan") -> LimitShown:
    """A limit that somebody set for this tank, with where it comes from."""
    return LimitShown(text, "", said)


def hands_of(snapshot: TankSnapshot, entry_id: int) -> str:
    """Whose hands wrote or did an entry, or "" where it is not in the snapshot."""
    groups: tuple[tuple[Entry, ...], ...] = (
        snapshot.tests,
        snapshot.observations,
        snapshot.feedings,
        snapshot.jobs,
        snapshot.stock_events,
    )
    return next((e.hands for group in groups for e in group if e.id == entry_id), "")


def of_reading(reading: Reading, snapshot: TankSnapshot) -> Evidence:
    """A reading as evidence, with what else it could be and a remark on a doubtful kit."""
    label = FACTS[reading.quantity].label
    doubt = " (the kit is doubtful)" if reading.kit_doubtful else ""
    by = reading.reader or hands_of(snapshot, reading.entry_id)
    what = f"{label} {reading_text(reading, snapshot.site)}{doubt}"
    return Evidence(what, reading.entry_id, reading.at, by)


def of_entry(entry: Entry, site: Site) -> Evidence:
    """An entry as evidence."""
    return Evidence(_entry_words(entry, site), entry.id, entry.happened_at, entry.hands)


def _entry_words(entry: Entry, site: Site) -> str:
    match entry:
        case Feeding(scoops=None):
            return f"Fed, {entry.amount_words}" if entry.amount_words else "Fed"
        case Feeding(scoops=float() | int() as scoops):
            return f"Fed, {short(scoops)} {'scoop' if scoops <= 1 else 'scoops'}"
        case Observation(seen=None):
            return "Looked"
        case Observation(seen=int() as seen, expected=int() as expected):
            return f"Counted {seen} of {expected}"
        case Observation():
            return f"Counted {entry.seen}"
        case StockEvent():
            return _stock_words(entry)
        case Job():
            return _job_words(entry, site)
        case _:
            return "Water test"


def _stock_words(event: StockEvent) -> str:
    said = f"{event.group_name or 'Animals'}: {event.count} {event.what.value}"
    # of a correction the reason says what was wrong; else what was asked before it was written
    return f"{said}. {event.reason}." if event.reason and event.replaces is None else said


def _job_words(job: Job, site: Site) -> str:
    name = job.job.value.replace("_", " ").capitalize()
    if job.job is JobKind.WATER_CHANGE and job.liters_out is not None:
        name += f", {water_amount(site, job.liters_out)} out"
    if job.mg_per_l is not None:
        name += f", up to {value_text(Quantity.AMMONIA, job.mg_per_l, site)}"
    return name


def deciding(readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """The readings that may decide: the newest of a kit in date, and doubtful ones after it.

    A doubtful kit may raise a finding and never clear one, so that both are looked at and the
    worse one counts.
    """
    found: list[Reading] = []
    for reading in reversed(readings):
        found.append(reading)
        if not reading.kit_doubtful:
            break
    return tuple(found)


def worst(
    readings: Sequence[Reading], severity_of: Callable[[Reading], Severity]
) -> tuple[Reading | None, Severity]:
    """The deciding reading with the highest severity, the newest where several are alike."""
    candidates = deciding(readings)
    if not candidates:
        return None, Severity.INFO
    judged = [(severity_of(r), r) for r in candidates]
    severity, reading = max(judged, key=lambda each: (each[0], each[1].at))
    return reading, severity


def most_known(reading: Reading) -> float:
    """The high end of a reading for limits: a tube that matches the color 0 has none.

    It is the lowest answer such a card can give; with its neighbor's value no tank with that
    card could ever be Steady. A tube lighter than a first color above 0 keeps its high end.
    """
    if reading.value == 0.0:
        return 0.0
    return float("inf") if reading.most is None else reading.most


def number_in(quantity_value: float, reading: Reading, site: Site) -> str:
    """A value of the reading's quantity with its unit."""
    return value_text(reading.quantity, quantity_value, site)


def days_text(days: int) -> str:
    """How many days."""
    return count(days, "day", "days")
