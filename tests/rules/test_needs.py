"""Pairs and lists of the catalogue, worked by hand: what clashes, and what does not."""

import pytest

from app.domain.livestock import OwnSpecies
from app.knowledge.catalogue import own_species
from app.rules.needs import (
    NUMBERS,
    ClashKind,
    ClashLevel,
    Lodger,
    Surroundings,
    by_height,
    compare,
    overlap,
)
from tests.rules.checks import plain
from tests.rules.living import KNOWLEDGE, NO_TANK, SPECIES, clashes, level, lodger, made, said

CAUTION, CONFLICT, REMARK = ClashLevel.CAUTION, ClashLevel.CONFLICT, ClashLevel.REMARK


def shared(name: str, *names: str) -> tuple[float, float]:
    found = getattr(overlap([lodger(n) for n in names]), name)
    return found.low, found.high


# Eight pairs, worked by hand from the values of the catalogue.


def test_platy_and_endlers_livebearer_go_together() -> None:
    pair = "Southern platy", "Endler's livebearer"
    assert shared("temperature", *pair) == (22, 26)
    assert shared("ph", *pair) == (7, 8)
    assert shared("gh", *pair) == (9, 19)
    assert said(*map(lodger, pair)) == []
    # the larger of the two wants of room decides
    assert said(*map(lodger, pair), tank=Surroundings(glass_l=60)) == []
    assert said(*map(lodger, pair), tank=Surroundings(glass_l=59)) == [(ClashKind.TANK, CAUTION)]


def test_a_small_shoaling_fish_and_a_grown_hunter_conflict_although_the_water_fits() -> None:
    pair = lodger("Ember tetra"), lodger("Pictus catfish")
    assert shared("temperature", "Ember tetra", "Pictus catfish") == (23, 26)
    assert said(*pair) == [(ClashKind.EATEN, CONFLICT)]
    (found,) = clashes(*pair)
    assert plain(found.text) == (
        "Pictus catfish hunts and grows to 12 cm, Ember tetra to 2 cm, 17 % of that: "
        "it may be swallowed."
    )
    assert found.names == ("Pictus catfish", "Ember tetra")
    assert all(source.is_memory for source in found.sources)


def test_a_cool_and_a_warm_fish_conflict() -> None:
    pair = lodger("White cloud mountain minnow"), lodger("Ram cichlid")
    assert said(*pair) == [(ClashKind.TEMPERATURE, CONFLICT)]
    (found,) = clashes(*pair)
    assert plain(found.text) == (
        "White cloud mountain minnow wants 15 to 23 °C, Ram cichlid 26 to 30 °C: "
        "they miss each other by 3 °C."
    )
    assert overlap(pair).temperature is not None
    assert overlap(pair).temperature.is_empty  # type: ignore[union-attr]


def test_a_fin_nipper_and_a_long_finned_fish_conflict_although_the_water_fits() -> None:
    pair = lodger("Tiger barb"), lodger("Siamese fighting fish")
    assert shared("temperature", "Tiger barb", "Siamese fighting fish") == (24, 26)
    assert said(*pair) == [(ClashKind.TEMPERAMENT, CONFLICT)]
    assert "nips fins" in clashes(*pair)[0].text
    assert "long fins are a target for nippers" in clashes(*pair)[0].text


def test_a_hard_water_and_a_soft_water_fish_are_cautioned_twice() -> None:
    pair = lodger("Common molly"), lodger("Cardinal tetra")
    assert shared("temperature", "Common molly", "Cardinal tetra") == (23, 28)
    assert said(*pair) == [(ClashKind.PH, CAUTION), (ClashKind.GH, CAUTION)]
    ph, gh = clashes(*pair)
    assert plain(ph.text) == (
        "Common molly wants pH 7.5 to 8.2, Cardinal tetra 4.5 to 7: they miss each other by 0.5."
    )
    assert plain(gh.text).endswith("they share 1 °dGH, 11 to 12 °dGH.")
    molly, cardinal = ph.sources
    assert molly.said == "looked up: FishBase snapshot of 14 Feb 2013"
    assert not molly.is_memory
    assert cardinal.said == "from memory, not checked"
    assert cardinal.is_memory


def test_two_bottom_fish_one_of_which_guards_ground_pass() -> None:
    pair = "Bronze corydoras", "Rainbow krib"
    assert shared("temperature", *pair) == (24, 27)
    assert shared("ph", *pair) == (6, 8)
    assert shared("gh", *pair) == (5, 19)
    assert said(*map(lodger, pair)) == []


def test_an_oscar_may_still_hunt_a_swordtail_and_wants_its_500_liters() -> None:
    pair = lodger("Oscar"), lodger("Green swordtail")
    assert shared("temperature", "Oscar", "Green swordtail") == (22, 28)
    assert said(*pair) == [(ClashKind.EATEN, CAUTION)]
    assert level(ClashKind.TANK, *pair, tank=Surroundings(glass_l=249)) is CONFLICT
    assert level(ClashKind.TANK, *pair, tank=Surroundings(glass_l=250)) is CAUTION
    assert level(ClashKind.TANK, *pair, tank=Surroundings(glass_l=500)) is None


def test_zebrafish_eat_the_young_of_cherry_shrimps() -> None:
    pair = lodger("Zebrafish"), lodger("Cherry shrimp")
    assert shared("temperature", "Zebrafish", "Cherry shrimp") == (18, 26)
    assert shared("ph", "Zebrafish", "Cherry shrimp") == (6.5, 8)
    assert said(*pair) == [(ClashKind.EATEN, CAUTION)]


# The list as a whole.


def test_each_end_of_the_shared_range_names_who_sets_it() -> None:
    found = overlap([lodger("Neon tetra"), lodger("Ember tetra"), lodger("Zebrafish")])
    assert found.temperature is not None
    assert (found.temperature.low, found.temperature.high) == (23, 26)
    assert found.temperature.low_by == ("Ember tetra",)
    assert found.temperature.high_by == ("Neon tetra", "Zebrafish")


def test_who_has_no_known_range_is_named_and_bounds_nothing() -> None:
    found = overlap([made(temp_c=(20, 26), name="Ada"), made(name="Bea")])
    assert found.temperature is not None
    assert found.temperature.unknown == ("Bea",)
    assert found.ph is None


def test_groups_of_one_species_count_as_one_group() -> None:
    assert said(lodger("Neon tetra", 4), lodger("Neon tetra", 4)) == []
    assert said(lodger("Neon tetra", 4), lodger("Neon tetra", 3)) == [(ClashKind.GROUP, CAUTION)]


def test_a_lone_shoaling_fish_is_seen() -> None:
    (found,) = clashes(lodger("Neon tetra", 1))
    assert plain(found.text) == "Neon tetra lives in groups of 8 or more. Here: 1."
    assert found.level is CAUTION


def test_a_group_that_has_gone_is_not_compared() -> None:
    assert said(lodger("White cloud mountain minnow", 0), lodger("Ram cichlid")) == []


def test_the_gravest_comes_first() -> None:
    animals = lodger("Neon tetra", 2), lodger("Oscar"), lodger("White cloud mountain minnow")
    levels = [c.level for c in compare(animals, Surroundings(glass_l=100), KNOWLEDGE)]
    assert levels == sorted(levels, reverse=True)
    assert levels[0] is CONFLICT


# What nobody knows.


def test_an_animal_of_which_nobody_said_what_it_is_is_not_judged() -> None:
    found = compare([Lodger("Gift", 2, None)], NO_TANK, KNOWLEDGE)
    assert [(c.kind, c.level) for c in found] == [(ClashKind.UNKNOWN, REMARK)]
    assert found[0].text == "Gift: nobody said what it is, so its needs are not judged."


def test_what_is_not_known_of_an_animal_is_named() -> None:
    found = compare([made(temp_c=(20, 26), ph=(6, 7), min_group=1)], NO_TANK, KNOWLEDGE)
    assert [c.kind for c in found] == [ClashKind.UNKNOWN]
    assert found[0].text == (
        "Anna’s fish: general hardness (GH), temperament, height, smallest tank and grown length "
        "not known, and so not judged."
    )


def test_nothing_is_unknown_of_the_fish_of_the_catalogue() -> None:
    fish = [lodger(name) for name, s in SPECIES.items() if s.group == "fish"]
    found = [c for a in fish for c in compare([a], NO_TANK, KNOWLEDGE)]
    assert [c.text for c in found if c.kind is ClashKind.UNKNOWN] == []


def test_an_animal_of_the_households_own_list_is_compared_and_says_so() -> None:
    own = OwnSpecies(
        id=1,
        scientific_name="Piscis novus",
        common_name="New fish",
        temperature_c=(16, 20),
        min_group=4,
        source="the shop’s sheet",
    )
    found = clashes(Lodger("New fish", 4, own_species(own)), lodger("Ram cichlid"))
    assert [c.kind for c in found] == [ClashKind.TEMPERATURE]
    assert found[0].sources[0].said == "from your own list: the shop’s sheet"
    assert not found[0].sources[0].is_memory


@pytest.mark.parametrize("word", ["score", "safe", "OK", "compatible", "good", "bad"])
def test_no_sentence_is_a_verdict(word: str) -> None:
    animals = [lodger(name) for name in SPECIES]
    tank = Surroundings(glass_l=60, net_l=50, length_cm=60, set_point_c=20, ph=7, gh=5)
    sentences = " ".join(c.text for c in compare(animals, tank, KNOWLEDGE))
    assert f" {word} " not in sentences
    assert f" {word}." not in sentences


def test_every_number_it_names_exists_and_all_of_its_file_are_named() -> None:
    assert set(NUMBERS) <= set(KNOWLEDGE.numbers)
    assert {k for k, n in KNOWLEDGE.numbers.items() if n.file == "needs"} <= set(NUMBERS)


def test_who_lives_at_which_height() -> None:
    found = by_height([lodger("Zebrafish"), lodger("Bronze corydoras"), lodger("Cherry shrimp")])
    assert [(h.position, h.names) for h in found] == [
        ("surface", ("Zebrafish",)),
        ("bottom", ("Bronze corydoras", "Cherry shrimp")),
    ]
    # no weight is known of shrimps: they are left out of the shares of the fish
    assert sum(h.percent or 0 for h in found) == pytest.approx(100)
