"""Lessons about water: how much there is, what a change takes out, and where nitrate settles."""

from typing import Final

from sqlalchemy.orm import Session

from app.domain.measures import net_volume
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.tank import TankForm, TankShape
from app.domain.wording import NBSP, length_text, listed, reading_text, water_amount
from app.estimates.nitrate_forecast import NitrateForecast, forecast
from app.knowledge.model import Knowledge
from app.science.dilution import after_change, after_changes, settles_at
from app.services.lessons.lacking import NITRATE_TEST, NOTHING_ADDED, PLAN, TAP, VOLUME
from app.services.lessons.model import ESTIMATE, Filled, Level, Question, Table
from app.services.lessons.numbers import half_up, rounded, spoken
from app.services.measures import volume_shown
from app.services.workings import both_units
from app.services.workings.model import Sum

_MG: Final = f"{NBSP}mg/L"
_BIG: Final = 0.4
_SMALL: Final = 0.2
_WEEKS: Final = 8
_BY_HAND: Final = 4


def volume(session: Session, snapshot: TankSnapshot, knowledge: Knowledge) -> Filled:  # noqa: ARG001
    """How much water is really in there."""
    shape = snapshot.tank.shape
    shown = volume_shown(shape)
    if shown is None:
        return Filled(facts=_measures(shape, snapshot), lacking=(VOLUME,))
    water = shown.volume
    gone = water.sand_solids_l + water.displacement_l
    share = 100.0 * gone / water.gross_l
    upright = shape.form is not TankForm.BOWL
    easy, middle, hard = (
        (shown.sums[:-4], shown.sums[-4:-2], shown.sums[-2:-1])
        if upright
        else (shown.sums[:-2], (), shown.sums[-2:-1])
    )
    return Filled(
        facts=_measures(shape, snapshot),
        questions=(
            Question(
                level=Level.EASY,
                text="How many liters fit into the glass up to the water line?",
                answer=both_units.liters(water.gross_l),
                sums=easy,
                values=(water.gross_l,),
            ),
            Question(
                level=Level.MIDDLE,
                text="How many liters do the grains of the sand, the stones and the gear take?",
                answer=both_units.liters(gone),
                sums=(
                    *middle,
                    Sum(
                        "Grains, stones and gear",
                        f"{rounded(water.sand_solids_l, 1)} + {rounded(water.displacement_l, 1)} =",
                        both_units.liters_only(gone),
                    ),
                ),
                values=(gone,),
            ),
            Question(
                level=Level.HARD,
                text="How much water is left? Of 100 liters in the glass, how many are no water?",
                answer=f"{both_units.liters(water.net_l)}. About {rounded(share, 0)} of 100 are "
                "no water.",
                sums=(
                    *hard,
                    Sum(
                        "What is no water",
                        f"{rounded(gone, 1)} ÷ {rounded(water.gross_l, 1)} × 100 =",
                        f"{rounded(share, 0)}{NBSP}%",
                    ),
                ),
                values=(water.net_l, share),
            ),
        ),
        surprise=shown.finding,
    )


def _measures(shape: TankShape, snapshot: TankSnapshot) -> tuple[tuple[str, str], ...]:
    site = snapshot.site
    across = {TankForm.BOX: "Width, inside", TankForm.BOW_FRONT: "Width at the side, inside"}
    measured = [("Length, inside", shape.length_cm)]
    if shape.form in across:
        measured.append((across[shape.form], shape.width_cm))
    else:
        measured = [("Across, inside", shape.length_cm)]
    for what, value in (
        ("The water stands", shape.water_depth_cm),
        ("Sand in front", shape.sand_front_cm),
        ("Sand at the back", shape.sand_back_cm),
    ):
        if value:
            measured.append((what, value))
    found = [(what, length_text(site, value)) for what, value in measured]
    if shape.displacement_l:
        found.append(("Stones, wood and gear", both_units.liters(shape.displacement_l)))
    pores = spoken(shape.sand_pore_share * 100.0, 0)
    return (*found, ("Of 100 parts of the sand, water between the grains", pores))


def change(session: Session, snapshot: TankSnapshot, knowledge: Knowledge) -> Filled:  # noqa: ARG001
    """One big change or two small ones."""
    latest, tap = snapshot.latest(Quantity.NITRATE), snapshot.site.tap_value(Quantity.NITRATE)
    lacking = [one for one, known in ((NITRATE_TEST, latest), (TAP, tap)) if known is None]
    if latest is None or tap is None:
        return Filled(lacking=tuple(lacking))
    now = latest.best
    big, small = after_changes(now, tap, _BIG, 1), after_changes(now, tap, _SMALL, 2)
    first = after_change(now, tap, _SMALL)
    start, of_tap = spoken(now, 1), spoken(tap, 1)
    return Filled(
        facts=(
            ("Nitrate, last test", reading_text(latest, snapshot.site)),
            ("Nitrate of the tap water", f"{of_tap}{_MG} as nitrate"),
            *_liters(snapshot),
        ),
        questions=(
            Question(
                level=Level.EASY,
                text=f"Begin with {start}{_MG}. What is left after one change of 40 in 100?",
                answer=f"{rounded(big, 1)}{_MG}",
                sums=(
                    Sum(
                        "Once 40 in 100",
                        f"{of_tap} + ({start} − {of_tap}) × 0.6 =",
                        f"{rounded(big, 1)}{_MG}",
                    ),
                ),
                values=(big,),
            ),
            Question(
                level=Level.MIDDLE,
                text="What is left after two changes of 20 in 100, one after the other?",
                answer=f"{rounded(small, 1)}{_MG}",
                sums=(
                    Sum(
                        "The first 20 in 100",
                        f"{of_tap} + ({start} − {of_tap}) × 0.8 =",
                        f"{rounded(first, 2)}{_MG}",
                    ),
                    Sum(
                        "The second",
                        f"{of_tap} + ({rounded(first, 2)} − {of_tap}) × 0.8 =",
                        f"{rounded(small, 1)}{_MG}",
                    ),
                ),
                values=(small,),
            ),
            Question(
                level=Level.HARD,
                text="How far are the two ways apart? Both take the same liters. Why is it not "
                "the same?",
                answer=f"{rounded(abs(small - big), 1)}{_MG}. The second small change takes out "
                "some of the new water, too.",
                sums=(
                    Sum(
                        "How far apart",
                        f"{rounded(max(small, big), 2)} − {rounded(min(small, big), 2)} =",
                        f"{rounded(abs(small - big), 1)}{_MG}",
                    ),
                ),
                values=(abs(small - big),),
            ),
        ),
        surprise=_which(big, small),
        basis="A balance of mass for what dissolves and stays. Nobody changes water for it.",
    )


def _liters(snapshot: TankSnapshot) -> tuple[tuple[str, str], ...]:
    water = net_volume(snapshot.tank.shape)
    if water is None:
        return ()
    return (("40 in 100 of our water", water_amount(snapshot.site, _BIG * water.net_l)),)


def _which(big: float, small: float) -> str:
    if abs(big - small) < 0.05:
        return "Here both come out alike: tank and tap are nearly the same."
    less, more = ("at once", "in two steps") if big < small else ("in two steps", "at once")
    return (
        f"With our numbers the change {less} leaves {rounded(min(big, small), 1)}{_MG}, the one "
        f"{more} {rounded(max(big, small), 1)}{_MG}. Small steps are gentler for the animals."
    )


def settle(session: Session, snapshot: TankSnapshot, knowledge: Knowledge) -> Filled:  # noqa: ARG001
    """Week by week to the number at which nitrate settles."""
    plan = snapshot.tank.plan
    found, tap = forecast(snapshot, knowledge), snapshot.site.tap_value(Quantity.NITRATE)
    share, days = plan.water_change_percent / 100.0, plan.water_change_days
    lacking = [
        one
        for one, known in ((NITRATE_TEST, found.now), (TAP, tap), (PLAN, share * days or None))
        if known is None
    ]
    if found.now is None or tap is None or lacking:
        return Filled(lacking=tuple(lacking))
    added = found.rise[1] * days
    if added <= 0.0:
        return Filled(lacking=(NOTHING_ADDED,))
    return _settling(snapshot, found, tap, added, share)


def _settling(
    snapshot: TankSnapshot, found: NitrateForecast, tap: float, added: float, share: float
) -> Filled:
    # pupils go on with what they see: the numbers of the sheet are those of the sums
    now = round(found.now.best, 1) if found.now else 0.0
    added, days = round(added, 1), snapshot.tank.plan.water_change_days
    course = [now]
    for _ in range(_WEEKS):
        course.append(half_up(after_change(course[-1], tap, share) + added, 2))
    point = settles_at(tap, added, share)
    percent, of_tap, part = spoken(share * 100.0, 1), spoken(tap, 1), spoken(share, 3)
    by = "the tests" if found.pace is not None and found.pace.from_tests else "the food alone"
    return Filled(
        facts=(
            ("Nitrate now", f"about {rounded(now, 1)}{_MG}"),
            (f"What {days} days add, by {by}", f"{rounded(added, 1)}{_MG}. {ESTIMATE}"),
            ("Each change swaps", f"{percent} of 100 parts, every {days} days"),
            ("The tap water has", f"{of_tap}{_MG}"),
        ),
        tables=(_course("Fill in, before each change", [f"{rounded(now, 1)}", *[""] * _BY_HAND]),),
        told=(_course("Before each change", [spoken(value, 2) for value in course]),),
        questions=(
            Question(
                level=Level.EASY,
                text="Change the water once, then add what comes in until the next change. "
                "Where are you?",
                answer=f"{spoken(course[1], 2)}{_MG}",
                sums=(_one_week(course[0], course[1], (tap, share, added)),),
                values=(course[1],),
            ),
            Question(
                level=Level.MIDDLE,
                text=f"Go on, to two decimals each time. Where are you after {_BY_HAND} changes?",
                answer=f"{spoken(course[_BY_HAND], 2)}{_MG}: "
                f"{listed([spoken(value, 2) for value in course[1 : _BY_HAND + 1]])}.",
                sums=tuple(
                    _one_week(course[n], course[n + 1], (tap, share, added))
                    for n in range(_BY_HAND)
                ),
                values=(course[_BY_HAND],),
            ),
            Question(
                level=Level.HARD,
                text="At which number does a change take out just what comes in?",
                answer=f"{rounded(point.before_change, 1)}{_MG} before each change, "
                f"{rounded(point.after_change, 1)}{_MG} after it.",
                sums=(
                    Sum(
                        "The tap, and what comes in by the share of the change",
                        f"{of_tap} + {rounded(added, 1)} ÷ {part} =",
                        f"{rounded(point.before_change, 1)}{_MG}",
                    ),
                ),
                values=(point.before_change, point.after_change),
            ),
        ),
        surprise=f"It does not rise for ever: it settles at about "
        f"{rounded(point.before_change, 0)}{_MG}. After {_WEEKS} changes it stands at "
        f"{rounded(course[-1], 1)}.",
        basis=f"{ESTIMATE} A balance of mass, with the same food and the same change each time.",
    )


def _one_week(before: float, after: float, known: tuple[float, float, float]) -> Sum:
    tap, share, added = known
    start, of_tap = spoken(before, 2), spoken(tap, 1)
    return Sum(
        f"From {start}",
        f"{start} − {spoken(share, 3)} × ({start} − {of_tap}) + {rounded(added, 1)} =",
        f"{spoken(after, 2)}{_MG}",
    )


def _course(caption: str, cells: list[str]) -> Table:
    rows = tuple((str(n), cell) for n, cell in enumerate(cells))
    return Table(caption=caption, columns=("Changes", "Nitrate, mg/L"), rows=rows, numbers=(0, 1))
