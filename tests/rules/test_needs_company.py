"""Who swallows, nips and chases whom: both sides of each edge."""

import pytest

from app.rules.needs import ClashKind, ClashLevel
from tests.rules.living import clashes, level, lodger, made

CAUTION, CONFLICT, REMARK = ClashLevel.CAUTION, ClashLevel.CONFLICT, ClashLevel.REMARK
HUNTER = frozenset({"predatory"})
CALM = frozenset({"peaceful"})


@pytest.mark.parametrize(
    ("prey_cm", "expected"),
    [(3.5, CONFLICT), (3.6, CAUTION), (5.0, CAUTION), (5.1, None)],
)
def test_a_hunter_of_ten_centimeters(prey_cm: float, expected: ClashLevel | None) -> None:
    hunter = made(name="Ada", adult_tl_cm=10.0, temperament=HUNTER, diet="carnivore")
    prey = made(name="Bea", adult_tl_cm=prey_cm, temperament=CALM, diet="herbivore")
    assert level(ClashKind.EATEN, hunter, prey) is expected


@pytest.mark.parametrize(
    ("diet", "prey_cm", "expected"),
    [
        ("omnivore", 2.0, CAUTION),
        ("carnivore", 2.0, CAUTION),
        ("omnivore", 2.1, None),
        ("herbivore", 1.0, None),
    ],
)
def test_what_is_no_hunter_takes_the_smallest_only(
    diet: str, prey_cm: float, expected: ClashLevel | None
) -> None:
    large = made(name="Ada", adult_tl_cm=10.0, temperament=CALM, diet=diet)
    prey = made(name="Bea", adult_tl_cm=prey_cm, temperament=CALM, diet="herbivore")
    assert level(ClashKind.EATEN, large, prey) is expected


def test_the_households_own_grown_length_comes_before_the_catalogues() -> None:
    small = lodger("Pictus catfish", adult_cm=3.0)
    assert level(ClashKind.EATEN, small, lodger("Ember tetra")) is None
    found = clashes(lodger("Pictus catfish", adult_cm=10.0), lodger("Ember tetra"))
    assert any(s.said == "set by you" and s.value.startswith("10") for s in found[0].sources)


@pytest.mark.parametrize(
    ("shrimp_cm", "fish_cm", "diet", "cautions", "expected"),
    [
        (3.0, 4.0, "omnivore", (), CAUTION),
        (3.1, 4.0, "omnivore", (), None),
        (3.0, 3.9, "omnivore", (), None),
        (3.0, 4.0, "herbivore", (), None),
        (3.0, 4.0, "omnivore", ("may eat shrimps",), CONFLICT),
        (3.0, 3.9, "omnivore", ("eats shrimplets",), CAUTION),
    ],
)
def test_dwarf_shrimps(
    shrimp_cm: float,
    fish_cm: float,
    diet: str,
    cautions: tuple[str, ...],
    expected: ClashLevel | None,
) -> None:
    shrimp = made(name="Ada", group="shrimp", adult_tl_cm=shrimp_cm, diet="omnivore")
    fish = made(name="Bea", adult_tl_cm=fish_cm, diet=diet, cautions=cautions)
    assert level(ClashKind.EATEN, shrimp, fish) is expected


def test_the_worse_of_two_reasons_to_be_eaten_is_said_once() -> None:
    found = clashes(lodger("Pictus catfish"), lodger("Cherry shrimp"))
    assert [(c.kind, c.level) for c in found if c.kind is ClashKind.EATEN] == [
        (ClashKind.EATEN, CONFLICT)
    ]


def test_snails_are_eaten_by_those_of_whom_it_is_known() -> None:
    assert level(ClashKind.EATEN, lodger("Yoyo loach"), lodger("Seminole ramshorn")) is CAUTION
    assert level(ClashKind.EATEN, lodger("Assassin snail"), lodger("Seminole ramshorn")) is CAUTION
    assert level(ClashKind.EATEN, lodger("Neon tetra"), lodger("Seminole ramshorn")) is None
    assert level(ClashKind.EATEN, lodger("Oscar"), lodger("Seminole ramshorn")) is None


@pytest.mark.parametrize(
    ("nipper", "victim", "expected"),
    [
        ("Serpae tetra", "Guppy", CONFLICT),
        ("Serpae tetra", "Pearl gourami", CONFLICT),
        ("Rosy barb", "Guppy", CAUTION),  # “may nip fins” only
        ("Neon tetra", "Guppy", None),
        ("Serpae tetra", "Colombian tetra", None),  # “nips long fins” has none itself
    ],
)
def test_fin_nippers(nipper: str, victim: str, expected: ClashLevel | None) -> None:
    assert level(ClashKind.TEMPERAMENT, lodger(nipper), lodger(victim)) is expected


@pytest.mark.parametrize(
    ("position", "temper", "expected"),
    [
        ("bottom", "territorial", CAUTION),
        ("mid", "territorial", None),
        ("bottom", "semi", None),
    ],
)
def test_two_that_guard_ground(position: str, temper: str, expected: ClashLevel | None) -> None:
    one = made(name="Ada", position="bottom", temperament=frozenset({"territorial"}))
    other = made(name="Bea", position=position, temperament=frozenset({temper}))
    assert level(ClashKind.TEMPERAMENT, one, other) is expected


@pytest.mark.parametrize(
    ("count", "min_group", "expected"), [(2, 1, CONFLICT), (1, 1, None), (2, 2, None)]
)
def test_several_of_one_that_guards_ground(
    count: int, min_group: int, expected: ClashLevel | None
) -> None:
    guard = made(count, min_group=min_group, temperament=frozenset({"territorial"}))
    assert level(ClashKind.TEMPERAMENT, guard) is expected


@pytest.mark.parametrize(
    ("caution", "count", "with_other", "expected"),
    [
        ("Keep one per tank", 1, True, REMARK),
        ("Keep one per tank", 2, False, CAUTION),
        ("One male per tank, never two", 2, False, CAUTION),
        ("Kept alone or as a pair", 2, False, REMARK),
        ("Kept alone or as a pair", 3, False, CAUTION),
        ("Kept alone or as a pair", 1, True, CAUTION),
        ("Shy", 2, True, None),
    ],
)
def test_what_lives_alone_raises_its_own_flag(
    caution: str, count: int, with_other: bool, expected: ClashLevel | None
) -> None:
    alone = made(count, name="Ada", cautions=(caution,))
    others = [made(name="Bea")] if with_other else []
    assert level(ClashKind.ALONE, alone, *others) is expected


@pytest.mark.parametrize(("count", "expected"), [(7, CAUTION), (8, None)])
def test_the_smallest_group(count: int, expected: ClashLevel | None) -> None:
    assert level(ClashKind.GROUP, lodger("Neon tetra", count)) is expected
