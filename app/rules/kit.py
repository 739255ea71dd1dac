"""Test kits: past their date, off against something known, or odd in what they always say."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Final

from app.domain.calendar import day_start, local_day
from app.domain.kit import Kit, shown_unit
from app.domain.quantities import FACTS, Quantity
from app.domain.records import JobKind, Reading
from app.domain.snapshot import TankSnapshot, last
from app.domain.wording import full_day, in_sentence, short, value_text, with_unit
from app.knowledge.model import Knowledge
from app.rules.equipment import check_came
from app.rules.kit_offset import is_off, newest_comparison, offset_limit
from app.rules.maturing import has_dense_plants
from app.rules.model import (
    Action,
    Concern,
    Evidence,
    Finding,
    LimitShown,
    Rule,
    Severity,
    WorkingLine,
)
from app.rules.showing import days_text, limit, of_reading

_WASTE: Final = (Quantity.AMMONIA, Quantity.NITRITE, Quantity.NITRATE)
_EPSILON: Final = 1e-9


def stale_kit(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """A test kit may not be trusted.

    What: a kit in use after the date on its box, or opened more than 12 months ago, unless a
        check against a known sample in the last 90 days speaks for it; a kit whose last
        comparison was more than a color step off; nitrate that stays the same in 6 tests though
        the food changed; or all three kinds of waste at 0 for over 30 days with food and without
        dense plants. No test of a kit past its date clears anything.
    Why: old liquids and strips read too low or too high.
    Source: reagents yearly, a fish veterinarian's page; the rest is our own choice.
    Bad: expired yesterday. Good: opened 3 months ago, date next year.
    """
    kits = [k for k in snapshot.kits if k.retired_on is None]
    found = [_off(kit, snapshot, knowledge) for kit in kits]
    if not _checked(snapshot, knowledge):
        found += [_old(kit, snapshot, knowledge) for kit in kits]
        found.append(_all_zero(snapshot, knowledge) or _unchanged(snapshot, knowledge))
    by_key: dict[str, Finding] = {}
    for finding in found:
        if finding is not None:
            by_key.setdefault(finding.action.key, finding)
    return tuple(by_key.values())


def next_check(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """The day set for the check of a kit has come.

    What: from its day on a reminder, after 30 more days watch; kits put away do not count.
    Why: a kit that was right in spring may be off in fall, and nothing shows it.
    Source: the day is the household's own; the days until watch are our own choice.
    Bad: check set for 1 March, now 5 March. Good: set for next month, or no day set.
    """
    found = [
        check_came(
            kit.name,
            kit.next_check_on,
            snapshot,
            knowledge,
            rule_id="kit.next-check",
            action=replace(_action(kit.quantity, kit), title=f"Check: {kit.name}"),
        )
        for kit in snapshot.kits
        if kit.retired_on is None
    ]
    return tuple(f for f in found if f is not None)


def kit_check_until(snapshot: TankSnapshot, knowledge: Knowledge) -> datetime | None:
    """Until when the last check or comparison counts, whichever ends first from now on."""
    days = timedelta(days=knowledge.value("kit.check-days"))
    moments = [c.at for c in snapshot.comparisons]
    check = last(snapshot.jobs_of(JobKind.KIT_CHECK))
    if check is not None:
        moments.append(check.happened_at)
    return min((m + days for m in moments if m + days > snapshot.as_of), default=None)


def _checked(snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    check = last(snapshot.jobs_of(JobKind.KIT_CHECK))
    keeps = timedelta(days=knowledge.value("kit.check-days"))
    return check is not None and snapshot.as_of - check.happened_at < keeps


def _old(kit: Kit, snapshot: TankSnapshot, knowledge: Knowledge) -> Finding | None:
    today, keeps = snapshot.today, int(knowledge.value("kit.opened-days"))
    compared = newest_comparison(kit, snapshot)
    counts = timedelta(days=knowledge.value("kit.check-days"))
    if compared is not None and snapshot.as_of - compared.at < counts:
        return None  # compared: near enough speaks for it, too far off is said by `_off`
    label = in_sentence(FACTS[kit.quantity].label)
    if kit.expires_on is not None and kit.expires_on < today:
        reason = f"The {label} kit was good until {full_day(kit.expires_on)} {kit.expires_on.year}."
        since = kit.expires_on
    elif kit.opened_on is not None and (today - kit.opened_on).days > keeps:
        since = kit.opened_on + timedelta(days=keeps)
        reason = f"The {label} kit was opened {days_text((today - kit.opened_on).days)} ago."
    else:
        return None
    return _finding(
        f"{reason} Its results may be the kit, not the water.",
        kit.quantity,
        since + timedelta(days=1),
        snapshot,
        kit=kit,
        counterfactual="With a kit in date this would not be here.",
        evidence=(Evidence(f"{kit.name}, for {label}"),),
        limits=(
            limit(knowledge, "kit.opened-days", "Keeps once opened"),
            limit(knowledge, "kit.check-days", "A check counts for"),
        ),
    )


def _off(kit: Kit, snapshot: TankSnapshot, knowledge: Knowledge) -> Finding | None:
    """The last comparison of a kit was further off than its next color."""
    compared = newest_comparison(kit, snapshot)
    if compared is None or not is_off(kit, compared, knowledge):
        return None
    label, unit = in_sentence(FACTS[kit.quantity].label), shown_unit(kit, snapshot.site)
    read, known = (short(round(unit.from_kept(v), 3)) for v in (compared.read, compared.known))
    of_unit = f"{unit.symbol} {unit.basis}".strip()
    return _finding(
        f"The {label} kit read {read} where {with_unit(known, of_unit)} was known. Its results "
        "may be the kit, not the water.",
        kit.quantity,
        local_day(compared.at, snapshot.site.zone),
        snapshot,
        kit=kit,
        counterfactual="With a kit that reads within a color step this would not be here.",
        evidence=(Evidence(f"{kit.name}, held against {compared.against or 'a known sample'}"),),
        working=(WorkingLine(f"{read} − {known} =", short(round(compared.offset_in(unit), 3))),),
        limits=(offset_limit(kit, knowledge),),
    )


def _all_zero(snapshot: TankSnapshot, knowledge: Knowledge) -> Finding | None:
    """All waste at 0 for long, though somebody feeds and no dense plants take it."""
    if has_dense_plants(snapshot) or not snapshot.expected_fish or not snapshot.feedings:
        return None
    days = timedelta(days=knowledge.value("kit.zero-days"))
    nitrate = snapshot.of(Quantity.NITRATE)
    zero = _zero_run(nitrate)
    if len(zero) < knowledge.value("kit.zero-tests") or zero[-1].at - zero[0].at <= days:
        return None
    for quantity in _WASTE[:2]:
        tests = [r for r in snapshot.of(quantity) if zero[0].at <= r.at]
        if not tests or any(r.best > 0.0 for r in tests):
            return None
    long = days_text((zero[-1].at - zero[0].at).days)
    return _finding(
        f"Ammonia, nitrite and nitrate are all 0 for {long}, though the fish eat. That may be "
        "the kit, not the water.",
        Quantity.NITRATE,
        local_day(zero[-1].at, snapshot.site.zone),
        snapshot,
        counterfactual="With nitrate above 0 this would not be here.",
        evidence=tuple(of_reading(r, snapshot) for r in (zero[0], zero[-1])),
        limits=(
            limit(knowledge, "kit.zero-days", "Odd after"),
            limit(knowledge, "kit.zero-tests", "Over at least"),
        ),
    )


def _zero_run(tests: Sequence[Reading]) -> list[Reading]:
    run: list[Reading] = []
    for reading in reversed(tests):
        if reading.best > 0.0:
            break
        run.insert(0, reading)
    return run


def _unchanged(snapshot: TankSnapshot, knowledge: Knowledge) -> Finding | None:
    """Nitrate says the same at every test though the food changed meanwhile."""
    number = int(knowledge.value("kit.unchanged-tests"))
    tests = snapshot.of(Quantity.NITRATE)[-number:]
    if len(tests) < number or len({r.best for r in tests}) > 1:
        return None
    change = _food_change(tests[0].at, tests[-1].at, snapshot)
    if change is None or change * 100.0 < knowledge.value("kit.food-change") - _EPSILON:
        return None
    value = value_text(Quantity.NITRATE, tests[-1].best, snapshot.site)
    return _finding(
        f"Nitrate was {value} in {number} tests in a row, though the food changed. That may be "
        "the kit, not the water.",
        Quantity.NITRATE,
        local_day(tests[-1].at, snapshot.site.zone),
        snapshot,
        counterfactual="With a nitrate that moves this would not be here.",
        evidence=tuple(of_reading(r, snapshot) for r in tests),
        limits=(
            limit(knowledge, "kit.unchanged-tests", "Equal results"),
            limit(knowledge, "kit.food-change", "Food changed by at least"),
        ),
    )


def _food_change(start: datetime, end: datetime, snapshot: TankSnapshot) -> float | None:
    """How much food of the second half differs from the first, as a share of the first.

    None where a meal's amount is not known, or nothing was fed in the first half.
    """
    middle = start + (end - start) / 2
    halves = [0.0, 0.0]
    for meal in snapshot.feedings:
        if not start <= meal.happened_at <= end:
            continue
        if meal.scoops is None:
            return None
        halves[meal.happened_at > middle] += meal.scoops
    return abs(halves[1] - halves[0]) / halves[0] if halves[0] > 0.0 else None


def _finding(
    reason: str,
    quantity: Quantity,
    since: date,
    snapshot: TankSnapshot,
    *,
    counterfactual: str,
    evidence: tuple[Evidence, ...],
    limits: tuple[LimitShown, ...],
    kit: Kit | None = None,
    working: tuple[WorkingLine, ...] = (),
) -> Finding:
    return Finding(
        rule_id="kit.stale",
        severity=Severity.WATCH,
        action=_action(quantity, kit),
        reason=reason,
        child_reason="We do not know if we can trust this kit.",
        due_at=day_start(since, snapshot.site.zone),
        clears_when="The kit is put away for a new one, or a check with a known sample is written.",
        counterfactual=counterfactual,
        evidence=evidence,
        working=working,
        limits=limits,
        quantity=quantity,
    )


def _action(quantity: Quantity, kit: Kit | None) -> Action:
    """Replace or check one kit; or, where the results are odd, whichever kit they came from."""
    return Action(
        key=f"kit-{kit.id}" if kit else f"kit-{quantity.value}-odd",
        title=f"Replace or check: {kit.name}"
        if kit
        else f"Check the {in_sentence(FACTS[quantity].label)} kit",
        child_title="A test kit needs a check.",
        concern=Concern.ROUTINE,
        door="kit" if kit else "job",
        job="" if kit else JobKind.KIT_CHECK.value,
        item_id=kit.id if kit else None,
        adult=True,
    )


RULES: Final = (
    Rule(
        id="kit.stale",
        title="A test kit may not be trusted",
        why="Old kits read too low or too high.",
        limits=(
            "kit.opened-days",
            "kit.check-days",
            "kit.unchanged-tests",
            "kit.food-change",
            "kit.zero-days",
            "kit.zero-tests",
            "kit.offset-degrees",
            "kit.offset-ph",
            "kit.offset-share",
        ),
        check=stale_kit,
        holds_until=kit_check_until,
        lesson="A test is only as good as its kit.",
    ),
    Rule(
        id="kit.next-check",
        title="A test kit is due for its check",
        why="A kit can be off, and look the same.",
        limits=("equipment.check-late-days",),
        check=next_check,
        lesson="Hold a tool against something you know.",
    ),
)
