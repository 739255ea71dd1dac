"""The other three needs of a welfare record: behavior, company, protection from harm."""

from collections.abc import Iterator
from typing import Final

from app.domain.entry_words import SIGN_WORDS, STOCK_WORDS
from app.domain.records import Job, JobKind, StockEventKind
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site
from app.domain.wording import count, dated, length_text, listed
from app.rules.lodgers import ClashKind, Lodger
from app.services.livestock.needs import Needs
from app.services.papers.welfare_lines import Period, Shown

_LOSSES: Final = frozenset({StockEventKind.DIED, StockEventKind.MISSING})
_CAME: Final = frozenset({StockEventKind.ARRIVED, StockEventKind.MOVED_IN})
_CHECKS: Final = (
    (JobKind.EQUIPMENT_CHECK, "Heater, filter and cords checked"),
    (JobKind.OUTLET_TEST, "Test button of the outlet pressed"),
)


def behavior(snapshot: TankSnapshot, needs: Needs) -> Shown:
    """Who lives where, how long they grow, and what they can hide in."""
    shown = Shown()
    if not needs.lodgers:
        shown.lack("No animals are written.")
    for lodger in needs.lodgers:
        shown.say(lodger.called, ", ".join(_facts(lodger, snapshot.site)))
    length = snapshot.tank.shape.length_cm
    shown.say("Length of the tank", length_text(snapshot.site, length))
    for share in needs.heights:
        shown.say(f"Animals {share.words}", listed(share.names))
    plants = ", ".join(f"{p.name} ({p.amount})" for p in snapshot.plants if not p.removed)
    shown.say("Plants", plants, "No plants are written.")
    for clash in needs.clashes:
        if clash.kind is ClashKind.UNKNOWN:
            shown.lack(clash.text)
    return shown


def _facts(lodger: Lodger, site: Site) -> Iterator[str]:
    """How many there are, their scientific name, and how long they grow."""
    yield str(lodger.count)
    if lodger.species is not None:
        yield lodger.species.scientific_name
    if lodger.grown_cm:
        yield f"grows to {length_text(site, lodger.grown_cm)}"


def company(needs: Needs) -> Shown:
    """How many of a kind there are, against how many they want to be."""
    shown, unknown = Shown(), []
    for lodger in needs.lodgers:
        wanted = lodger.species.min_group if lodger.species else None
        if wanted is None:
            unknown.append(lodger.called)
        elif lodger.count >= wanted:
            shown.say(lodger.called, f"{lodger.count} here, {wanted} or more wanted")
    if unknown:
        shown.lack(f"How many they want to be is not known: {listed(unknown)}.")
    if not needs.lodgers:
        shown.lack("No animals are written.")
    return shown


def protection(snapshot: TankSnapshot, days: Period) -> Shown:
    """Looks, signs, losses, newcomers, treatments and checks."""
    shown = Shown()
    looked = {look.local_day for look in snapshot.observations}
    seen, meant = len(days.of(looked)), len(days.present)
    if meant:
        text = f"on {seen} of {count(meant, 'day', 'days')} on which somebody was meant to come"
        shown.say("Looked at", text)
    if meant - seen:
        shown.lack(f"On {count(meant - seen, 'such day', 'such days')} no look is written.")
    _events(snapshot, days, shown)
    for kind, label in _CHECKS:
        done = snapshot.jobs_of(kind)
        text = f"last on {dated(done[-1].local_day)}" if done else ""
        shown.say(label, text, f"{label}: never written.")
    return shown


def _events(snapshot: TankSnapshot, days: Period, shown: Shown) -> None:
    newcomers = []
    for event in snapshot.stock_events:
        if not days.holds(event.local_day):
            continue
        said = f"{event.count} {event.group_name} {STOCK_WORDS[event.what]}"
        if event.what in _LOSSES:
            shown.object(f"{dated(event.local_day)}: {said}.")
        elif event.what in _CAME and event.apart_days is None:
            shown.lack(f"{dated(event.local_day)}: {said}; whether they were apart is unknown.")
        elif event.what in _CAME and event.apart_days is not None:
            apart = count(event.apart_days, "day", "days")
            newcomers.append(f"{dated(event.local_day)}: {said}, apart for {apart}")
    shown.say("Newcomers", "; ".join(newcomers))
    for look in snapshot.observations:
        if look.signs and days.holds(look.local_day):
            signs = ", ".join(SIGN_WORDS[s] for s in look.signs)
            shown.object(f"{dated(look.local_day)}: {signs}.")
    treated = [j for j in snapshot.jobs_of(JobKind.TREATMENT) if days.holds(j.local_day)]
    shown.say("Treatments", "; ".join(f"{dated(j.local_day)}: {_given(j)}" for j in treated))


def _given(job: Job) -> str:
    return job.treatment.product if job.treatment else "what was given is unknown"
