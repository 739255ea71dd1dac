"""What one flat scoop weighs, from several weighings."""

from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, count, decimal, number
from app.knowledge.model import Knowledge
from app.services.workings.model import Ask, CannotWork, Given, Sum, Theme, Worked, Working
from app.services.workings.units import GRAMS, PLAIN


def _work(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:
    scoops, grams = given.lists["scoops"], given.lists["grams"]
    if len(scoops) != len(grams):
        piles, weights = len(scoops), count(len(grams), "weight", "weights")
        said = f"{count(piles, 'pile', 'piles')}, but {weights}: enter one weight for each pile."
        raise CannotWork(said, "grams")
    if any(s != int(s) for s in scoops):
        raise CannotWork("Count whole scoops.", "scoops")
    each = [g / s for g, s in zip(grams, scoops, strict=True)]
    mean = sum(grams) / sum(scoops)
    sums = [
        Sum(f"Weighing {n}", f"{number(g, 2)} ÷ {number(s, 0)} =", f"{decimal(one, 3)}{NBSP}g")
        for n, (s, g, one) in enumerate(zip(scoops, grams, each, strict=True), start=1)
    ]
    spread, remarks, far = "", [_STAYS], knowledge.value("scoop.apart")
    if len(each) > 1:
        total, counted = number(sum(grams), 2), number(sum(scoops), 0)
        sums.append(Sum("All together", f"{total} ÷ {counted} =", f"{decimal(mean, 3)}{NBSP}g"))
        spread = f"From {_g(min(each))} to {_g(max(each))} in {len(each)} weighings."
        remarks = [*_differs("The last weighing", "the first", each[-1], each[0], far), *remarks]
    saved = snapshot.tank.scoop_grams
    if saved:
        remarks = [*_differs("This", f"the {_g(saved)} kept so far", mean, saved, far), *remarks]
    return Worked(
        answer=f"One flat scoop is {_g(mean)}.",
        spread=spread,
        sums=tuple(sums),
        remarks=tuple(remarks),
        basis="Division. From which difference on it is worth asking is this project’s own choice.",
    )


_STAYS = "Meals that are written down already keep the weight of their day."


def _differs(what: str, than: str, new: float, old: float, far_percent: float) -> tuple[str, ...]:
    percent = 100.0 * (new - old) / old
    if abs(percent) < far_percent:
        return ()
    word = "more" if percent > 0 else "less"
    return (f"{what} is {decimal(abs(percent), 0)}{NBSP}% {word} than {than}. Fill level?",)


def _g(grams: float) -> str:
    return f"{number(grams, 3)}{NBSP}g"


SCOOP = Working(
    slug="scoop",
    theme=Theme.FOOD,
    title="Weigh a scoop",
    question="What does one flat scoop of food weigh, and how far do two children differ?",
    asks=(
        Ask(
            name="scoops", label="Scoops in each pile", noun="how many scoops", units=PLAIN,
            low=1, high=1000, several=True,
            hint="One number for each pile, with spaces between: 20 10.",
        ),
        Ask(
            name="grams", label="What each pile weighs", noun="the weight", units=GRAMS,
            low=0.001, high=1000, several=True, hint="In the same order: 2.4 1.5.",
        ),
    ),
    work=_work,
    more=(("Keep a weight", "tank.scoop"),),
)  # fmt: skip
