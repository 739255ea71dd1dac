"""Nitrite and nitrate: the middle and the end of the waste path."""

from typing import Final

from app.domain.quantities import Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site
from app.domain.wording import decimal, reading_text, short, value_text, with_unit
from app.knowledge.model import Knowledge
from app.rules.maturing import is_fed_without_animals
from app.rules.model import Finding, LimitShown, Rule, Severity, WorkingLine
from app.rules.nitrate_peak import missing_words
from app.rules.showing import deciding, limit, most_known, of_reading, own_limit, remark, worst
from app.rules.testing import change_or_retest, retest
from app.science.dilution import CannotBeReached, fraction_for_target


def nitrite(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """Nitrite is there.

    What: bands 0.05 / 0.2 / 1.0 mg/L by the best guess; ten times as much chloride lowers the
        severity one step, never below watch; a high end that reaches act raises watch. Not where
        ammonia is added to a tank without animals: there it is on its way to nitrate.
    Why: nitrite keeps the blood from carrying oxygen, and chloride keeps nitrite out.
    Source: Kroupová and others 2008; SRAC 462 for the ratio; bands of `knowledge/water.toml`.
    Bad: 0.5 without chloride. Good: two tests in a row lighter than the first color.
    """
    if is_fed_without_animals(snapshot, knowledge):
        return ()
    tests = snapshot.of(Quantity.NITRITE)
    newest, severity = worst(tests, lambda r: _nitrite_severity(r, snapshot, knowledge))
    if newest is None:
        return ()
    if severity is Severity.INFO:
        earlier = tests[: -len(deciding(tests))]
        before, was = worst(earlier, lambda r: _nitrite_severity(r, snapshot, knowledge))
        if before is None or was is Severity.INFO:
            return ()
        reason = "The last nitrite test was good, the one before was not. One more tells."
        return (_nitrite_finding(Severity.WATCH, tests[-1], reason, snapshot, knowledge),)
    text = reading_text(newest, snapshot.site)
    reason = f"Nitrite is {text}: the second step of the filter lags."
    if severity >= Severity.ACT:
        reason += " More air. Test every day."
    if severity is Severity.EMERGENCY:
        reason += " Change again tomorrow. Ask a veterinarian or an aquatic health professional."
    if _protected(newest, snapshot, knowledge):
        reason += " The chloride in the water buys time. It does not remove the cause."
    return (_nitrite_finding(severity, newest, reason, snapshot, knowledge),)


def _nitrite_severity(test: Reading, snapshot: TankSnapshot, knowledge: Knowledge) -> Severity:
    act = knowledge.value("nitrite.act")
    severity = Severity.INFO
    if test.best >= knowledge.value("nitrite.emergency"):
        severity = Severity.EMERGENCY
    elif test.best >= act:
        severity = Severity.ACT
    elif test.best >= knowledge.value("nitrite.watch") or most_known(test) >= act:
        severity = Severity.WATCH
    if severity >= Severity.ACT and _protected(test, snapshot, knowledge):
        return Severity(severity - 1)
    return severity


def _protected(test: Reading, snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    chloride = snapshot.latest(Quantity.CHLORIDE)
    if chloride is None or chloride.kit_doubtful or test.best <= 0.0:
        return False
    return chloride.least / test.best >= knowledge.value("nitrite.chloride-ratio") - 1e-9


def _nitrite_finding(
    severity: Severity,
    test: Reading,
    reason: str,
    snapshot: TankSnapshot,
    knowledge: Knowledge,
) -> Finding:
    key = "change.most" if severity is Severity.EMERGENCY else "change.least"
    share = knowledge.value(key) / 100.0
    chloride = snapshot.latest(Quantity.CHLORIDE)
    working: tuple[WorkingLine, ...] = ()
    if chloride is not None and test.best > 0.0:
        working = (
            remark("Chloride for each part of nitrite"),
            WorkingLine(
                f"{short(chloride.least)} ÷ {short(test.best)} =",
                decimal(chloride.least / test.best, 0),
            ),
        )
    watch = value_text(Quantity.NITRITE, knowledge.value("nitrite.watch"), snapshot.site)
    pressing = severity >= Severity.ACT
    return Finding(
        rule_id="water.nitrite",
        severity=severity,
        action=(
            change_or_retest(snapshot, test, share, knowledge)
            if pressing
            else retest(Quantity.NITRITE)
        ),
        reason=reason,
        child_reason=(
            "Waste, step two, is high. Get a grown-up."
            if pressing
            else "Waste, step two, is there. Test once more."
        ),
        due_at=test.at,
        clears_when=f"Two nitrite tests in a row are below {watch}, with a kit in date.",
        counterfactual=f"With nitrite below {watch} this would not be here.",
        evidence=tuple(of_reading(r, snapshot) for r in (test, chloride) if r is not None),
        working=working,
        limits=(
            limit(knowledge, "nitrite.watch", "Watch from"),
            limit(knowledge, "nitrite.act", "Act from"),
            limit(knowledge, "nitrite.emergency", "Act now from"),
            limit(
                knowledge, "nitrite.chloride-ratio", "One step lower from chloride to nitrite of"
            ),
        ),
        quantity=Quantity.NITRITE,
    )


def nitrate(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """Nitrate has gathered.

    What: over 25 mg/L watch (or 10 above a tap water of more than 15), over 50 act; over 100 in
        steps of several days. The best guess decides; a high end over 50 raises watch. Were 25
        enough, a color card whose next step is 40 would keep every tank at 20 on Watch.
    Why: it harms young and sensitive animals in the long run and feeds algae.
    Source: common practice; Camargo and others 2005 for eggs and fry from 44 mg/L on.
    Bad: 80. Good: 20.
    """
    tests = snapshot.of(Quantity.NITRATE)
    watch = watch_from(snapshot, knowledge)
    newest, severity = worst(tests, lambda r: _nitrate_severity(r, watch, knowledge))
    if newest is None or severity is Severity.INFO:
        return ()
    share = _share_for(newest, watch, snapshot.site, knowledge)
    edge = value_text(Quantity.NITRATE, watch, snapshot.site)
    reason = f"Nitrate is {reading_text(newest, snapshot.site)}."
    if newest.best > knowledge.value("nitrate.steps"):
        reason += " Bring it down in steps on several days: not more at once."
    return (
        Finding(
            rule_id="water.nitrate",
            severity=severity,
            action=change_or_retest(snapshot, newest, share, knowledge),
            reason=reason,
            child_reason="Waste, step three, has gathered. New water helps.",
            due_at=newest.at,
            clears_when=f"A nitrate test of {edge} or less is written, with a kit in date.",
            counterfactual=(f"With nitrate at {short(watch)} or below this would not be here."),
            evidence=(of_reading(newest, snapshot),),
            working=(*_tap_remark(snapshot.site), *_size_remark(snapshot, knowledge)),
            limits=(
                _watch_limit(watch, snapshot, knowledge),
                limit(knowledge, "nitrate.act", "Act over"),
                limit(knowledge, "nitrate.steps", "In steps over"),
                limit(knowledge, "change.most", "At most in one day"),
            ),
            quantity=Quantity.NITRATE,
        ),
    )


def watch_from(snapshot: TankSnapshot, knowledge: Knowledge) -> float:
    """Above which nitrate Watch begins, in mg/L as nitrate.

    The tank's own limit where somebody set one, else the general one: later where the tap
    water itself has much. Act stays where it is.
    """
    own = snapshot.tank.own_range(Quantity.NITRATE)
    if own is not None and own.high is not None:
        return own.high
    site = snapshot.site
    general = knowledge.value("nitrate.watch")
    tap = site.tap_value(Quantity.NITRATE)
    if tap is None or tap <= knowledge.value("nitrate.tap-high"):
        return general
    return max(general, tap + knowledge.value("nitrate.tap-margin"))


def _nitrate_severity(test: Reading, watch: float, knowledge: Knowledge) -> Severity:
    act = knowledge.value("nitrate.act")
    if test.best > act:
        return Severity.ACT
    if test.best > watch or most_known(test) > act:
        return Severity.WATCH
    return Severity.INFO


def _share_for(test: Reading, target: float, site: Site, knowledge: Knowledge) -> float:
    """The share that reaches the target at once, within the steps that one day allows."""
    least = knowledge.value("change.least") / 100.0
    most = knowledge.value("change.most") / 100.0
    tap = site.tap_value(Quantity.NITRATE) or 0.0
    try:
        wanted = fraction_for_target(test.best, target, tap)
    except CannotBeReached:
        return least
    return min(max(wanted, least), most)


def _tap_remark(site: Site) -> tuple[WorkingLine, ...]:
    if site.tap_value(Quantity.NITRATE) is not None:
        return ()
    return (remark("The tap water’s own nitrate is not known: nobody tested it."),)


def _size_remark(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[WorkingLine, ...]:
    words = missing_words(snapshot, knowledge)
    return (remark(words),) if words else ()


def _watch_limit(watch: float, snapshot: TankSnapshot, knowledge: Knowledge) -> LimitShown:
    own = snapshot.tank.own_range(Quantity.NITRATE)
    if own is not None and own.high is not None:
        return own_limit(f"Watch over {with_unit(short(own.high), 'mg/L')}", own.said)
    tap = snapshot.site.tap_value(Quantity.NITRATE)
    if tap is None or tap <= knowledge.value("nitrate.tap-high"):
        return limit(knowledge, "nitrate.watch", "Watch over")
    margin = knowledge.numbers["nitrate.tap-margin"]
    text = f"Watch over {with_unit(short(watch), 'mg/L')}: the tap has {short(tap)} itself"
    return LimitShown(text, margin.source, margin.basis.value)


RULES: Final = (
    Rule(
        id="water.nitrite",
        title="Nitrite",
        why="It keeps the blood from carrying oxygen.",
        limits=(
            "nitrite.watch",
            "nitrite.act",
            "nitrite.emergency",
            "nitrite.chloride-ratio",
            "change.least",
            "change.most",
            "change.counts",
        ),
        check=nitrite,
        lesson="Helpful germs eat waste in two steps.",
    ),
    Rule(
        id="water.nitrate",
        title="Nitrate",
        why="It gathers between water changes.",
        limits=(
            "nitrate.watch",
            "nitrate.act",
            "nitrate.steps",
            "nitrate.tap-high",
            "nitrate.tap-margin",
            "change.least",
            "change.most",
            "change.counts",
        ),
        check=nitrate,
        lesson="Step three of the waste feeds plants.",
    ),
)
