"""Which animals can live with which: swallowing, nipping, guarding, and being too few."""

import itertools
import re
from collections.abc import Iterator, Sequence
from typing import Final

from app.domain.wording import number, short, with_unit
from app.knowledge.model import Knowledge
from app.rules.lodgers import HEIGHTS, Clash, ClashKind, ClashLevel, Lodger, clash
from app.rules.showing import limit

_NIPPED: Final = re.compile(r"get nipped|target for nippers", re.IGNORECASE)
_MAY_NIP: Final = re.compile(r"\bnips?\b", re.IGNORECASE)
_ALONE: Final = re.compile(
    r"^(kept alone|keep one per tank|one male per (small )?tank)", re.IGNORECASE
)


def company_clashes(living: Sequence[Lodger], knowledge: Knowledge) -> Iterator[Clash]:
    """Clashes between the animals themselves, whatever the water and the tank."""
    for hunter, prey in itertools.permutations(living, 2):
        yield from _eaten(hunter, prey, knowledge)
        yield from _nipped(hunter, prey)
    for one, other in itertools.combinations(living, 2):
        yield from _guarding(one, other)
    for lodger in living:
        yield from _too_few(lodger)
        yield from _guarding_alone(lodger)
        yield from _kept_alone(lodger, len(living))


def _eaten(hunter: Lodger, prey: Lodger, knowledge: Knowledge) -> Iterator[Clash]:
    """The worst that holds of hunting by size, of shrimps and their young, and of snails."""
    if hunter.species is None or prey.species is None or hunter.species.group == "snail":
        yield from _snails(hunter, prey)
        return
    if prey.species.group == "snail":
        yield from _snails(hunter, prey)
        return
    found = [f for f in (_by_size(hunter, prey, knowledge), _shrimps(hunter, prey, knowledge)) if f]
    if found:
        yield max(found, key=lambda c: c.level)


def _by_size(hunter: Lodger, prey: Lodger, knowledge: Knowledge) -> Clash | None:
    big, small = hunter.grown_cm, prey.grown_cm
    if big is None or small is None or hunter.species is None:
        return None
    share = round(100.0 * small / big, 6)
    level = None
    if hunter.is_("predatory"):
        key = "needs.swallow-conflict"
        if share <= knowledge.value(key):
            level = ClashLevel.CONFLICT
        elif share <= knowledge.value(key := "needs.swallow-caution"):
            level = ClashLevel.CAUTION
    elif hunter.species.diet in {"omnivore", "carnivore"}:
        key = "needs.nibble-caution"
        level = ClashLevel.CAUTION if share <= knowledge.value(key) else None
    if level is None:
        return None
    taking = "hunts" if hunter.is_("predatory") else "takes small animals"
    text = (
        f"{hunter.called} {taking} and grows to {with_unit(short(big), 'cm')}, "
        f"{prey.called} to {with_unit(short(small), 'cm')}, "
        f"{with_unit(number(share, 0), '%')} of that: it may be swallowed."
    )
    what = "A conflict up to" if level is ClashLevel.CONFLICT else "A caution up to"
    return clash(
        ClashKind.EATEN,
        level,
        text,
        (hunter, prey),
        ("adult_tl_cm", "temperament"),
        limits=(limit(knowledge, key, what),),
    )


def _shrimps(hunter: Lodger, prey: Lodger, knowledge: Knowledge) -> Clash | None:
    if hunter.species is None or prey.species is None or hunter.grown_cm is None:
        return None
    is_dwarf = prey.species.group == "shrimp" and (prey.grown_cm or 99.0) <= knowledge.value(
        "needs.shrimp-cm"
    )
    if not is_dwarf or hunter.species.group == "shrimp" or hunter.species.diet == "herbivore":
        return None
    is_large = hunter.grown_cm >= knowledge.value("needs.shrimp-eater-cm")
    named = next((c for c in hunter.cautions if "shrimp" in c.lower()), "")
    if not is_large and not named:
        return None
    level = ClashLevel.CONFLICT if named and is_large else ClashLevel.CAUTION
    said = f" {hunter.called}: “{_quoted(named)}”." if named else ""
    text = (
        f"{hunter.called}, {with_unit(short(hunter.grown_cm), 'cm')}, takes young shrimps: "
        f"{prey.called} grows to {with_unit(short(prey.grown_cm or 0.0), 'cm')} only.{said}"
    )
    return clash(
        ClashKind.EATEN,
        level,
        text,
        (hunter, prey),
        ("adult_tl_cm", "diet", *(("cautions",) if named else ())),
        limits=(
            limit(knowledge, "needs.shrimp-eater-cm", "Fish from"),
            limit(knowledge, "needs.shrimp-cm", "Shrimps up to"),
        ),
    )


def _snails(hunter: Lodger, prey: Lodger) -> Iterator[Clash]:
    if prey.species is None or prey.species.group != "snail":
        return
    named = next(
        (c for c in hunter.cautions if re.search(r"\beats\b.*snails", c, re.IGNORECASE)), ""
    )
    if named:
        text = f"{hunter.called}: “{_quoted(named)}”. {prey.called} is in its tank."
        yield clash(ClashKind.EATEN, ClashLevel.CAUTION, text, (hunter,), ("cautions",))


def _nipped(nipper: Lodger, victim: Lodger) -> Iterator[Clash]:
    target = next((c for c in victim.cautions if _NIPPED.search(c)), "")
    if not target:
        return
    named = next((c for c in nipper.cautions if _MAY_NIP.search(c)), "")
    if nipper.is_("fin-nipping"):
        level, said = ClashLevel.CONFLICT, f"{nipper.called} nips fins."
    elif named:
        level, said = ClashLevel.CAUTION, f"{nipper.called}: “{_quoted(named)}”."
    else:
        return
    text = f"{said} {victim.called}: “{_quoted(target)}”."
    fields = ("temperament", "cautions")
    yield clash(ClashKind.TEMPERAMENT, level, text, (nipper, victim), fields)


def _guarding(one: Lodger, other: Lodger) -> Iterator[Clash]:
    both = one.is_("territorial") and other.is_("territorial")
    if not both or one.species is None or other.species is None:
        return
    if one.species.position == other.species.position:
        where = HEIGHTS.get(one.species.position, "at one height")
        text = f"{one.called} and {other.called} both guard ground {where}."
        fields = ("temperament", "position")
        yield clash(ClashKind.TEMPERAMENT, ClashLevel.CAUTION, text, (one, other), fields)


def _guarding_alone(lodger: Lodger) -> Iterator[Clash]:
    if lodger.species is None or lodger.species.min_group != 1 or lodger.count <= 1:
        return
    if lodger.is_("territorial"):
        text = f"{lodger.called} guards its ground and can live alone: {lodger.count} share it."
        fields = ("temperament", "min_group")
        yield clash(ClashKind.TEMPERAMENT, ClashLevel.CONFLICT, text, (lodger,), fields)


def _too_few(lodger: Lodger) -> Iterator[Clash]:
    wanted = lodger.species.min_group if lodger.species else None
    if wanted is None or lodger.count >= wanted:
        return
    text = f"{lodger.called} lives in groups of {wanted} or more. Here: {lodger.count}."
    yield clash(ClashKind.GROUP, ClashLevel.CAUTION, text, (lodger,), ("min_group",))


def _kept_alone(lodger: Lodger, kinds: int) -> Iterator[Clash]:
    said = next((c for c in lodger.cautions if _ALONE.search(c)), "")
    if not said:
        return
    with_others = said.lower().startswith("kept alone") and kinds > 1
    allowed = 2 if "as a pair" in said.lower() else 1
    is_against = lodger.count > allowed or with_others
    level = ClashLevel.CAUTION if is_against else ClashLevel.REMARK
    others = f", with {kinds - 1} other {'kind' if kinds == 2 else 'kinds'}" if with_others else ""
    text = f"{lodger.called}: “{_quoted(said)}”. Here: {lodger.count}{others}."
    yield clash(ClashKind.ALONE, level, text, (lodger,), ("cautions",))


def _quoted(caution: str) -> str:
    """What the catalogue says, with the curly apostrophes of a text."""
    return caution.replace("'", "’")
