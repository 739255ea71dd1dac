"""The lists of animals and plants: what they hold, what is refused, what is from memory."""

import csv
import dataclasses
import io
import re
from pathlib import Path

import pytest

import app.knowledge
from app.domain.livestock import OwnSpecies
from app.knowledge.catalogue import Plant, Species, own_species, slug
from app.knowledge.catalogue_files import read_plants, read_species
from app.knowledge.load import load
from app.knowledge.model import KnowledgeError
from app.knowledge.search import find_plants, find_species
from tests.contract.test_words import avoided

HERE = Path(str(app.knowledge.__file__)).parent
SPECIES = load().species
PLANTS = load().plants
NEON = SPECIES["Paracheirodon innesi"]


def changed(name: str, **cells: str) -> bytes:
    """The file with these cells in its first row."""
    rows = list(csv.DictReader(io.StringIO((HERE / name).read_text("utf-8"))))
    assert set(cells) <= set(rows[0])
    rows[0] |= cells
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]))
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue().encode()


def test_the_lists_are_whole() -> None:
    groups = [s.group for s in SPECIES.values()]
    assert {g: groups.count(g) for g in set(groups)} == {
        "fish": 152,
        "shrimp": 4,
        "crayfish": 1,
        "snail": 6,
    }
    assert len(PLANTS) == 66


def test_a_row_is_read_into_its_fields() -> None:
    assert NEON.common_name == "Neon tetra"
    assert NEON.temp_c == (20.0, 26.0)
    assert NEON.gh == (1.0, 10.0)
    assert NEON.db_gh == (1.0, 2.0)
    assert NEON.min_group == 8
    assert NEON.cautions == ("Sensitive to a newly started tank", "eaten by adult angelfish")
    serpae = SPECIES["Megalamphodus eques"]
    assert serpae.temperament == {"semi", "fin-nipping"}
    shrimp = SPECIES["Neocaridina davidi"]
    assert shrimp.length_weight_a is None
    assert "Neocaridina heteropoda" in shrimp.also_known_as


@pytest.mark.parametrize(
    ("cells", "says"),
    [
        ({"temp_min_c": "28", "temp_max_c": "22"}, "temp_min_c 28 is above temp_max_c 22"),
        ({"ph_min": "8", "ph_max": "7"}, "ph_min 8 is above ph_max 7"),
        ({"gh_min_dgh": "20"}, "gh_min_dgh 20 is above gh_max_dgh 19"),
        ({"temp_max_c": "45"}, "temp_max_c: 45 is outside 10 to 40"),
        ({"ph_max": "74"}, "ph_max: 74 is outside 4 to 10"),
        ({"adult_tl_cm": "0"}, "adult_tl_cm: 0 is outside"),
        ({"adult_tl_cm": "long"}, "adult_tl_cm: 'long' is no number"),
        ({"adult_tl_cm": "nan"}, "adult_tl_cm: nan is outside"),
        ({"min_group": "2.5"}, "min_group: 2.5 is no whole number"),
        ({"temp_min_c": ""}, "only one of temp_min_c and temp_max_c is filled"),
        ({"length_weight_a": ""}, "only one of length_weight_a and length_weight_b"),
        ({"length_weight_b": "1.9"}, "length_weight_b: 1.9 is outside 2.5 to 3.5"),
        ({"db_temp_min_c": ""}, "db_temp cells are filled exactly where temp was looked up"),
        ({"position": "middle"}, "position: no such word as middle"),
        ({"temperament": "peaceful;wild"}, "temperament: no such word as wild"),
        ({"looked_up_fields": "guessed"}, "looked_up_fields: no such word as guessed"),
        ({"confidence": "sure"}, "confidence: no such word as sure"),
        ({"source": ""}, "source is empty"),
        ({"temp_source": ""}, "temp_source is empty"),
        ({"common_name": "neon tetra"}, "neon tetra stands twice"),
        ({"also_known_as": "x; Guppy"}, "guppy stands twice"),
    ],
)
def test_an_animal_that_cannot_be_is_refused(cells: dict[str, str], says: str) -> None:
    with pytest.raises(KnowledgeError, match=f"species.csv: .*{re.escape(says)}"):
        read_species("species.csv", changed("species.csv", **cells))


@pytest.mark.parametrize(
    ("cells", "says"),
    [
        ({"temp_min_c": "29", "temp_max_c": "28"}, "temp_min_c 29 is above temp_max_c 28"),
        ({"light_need": "dark"}, "light_need: no such word as dark"),
        ({"regulated": ""}, "regulated is empty"),
        ({"source": ""}, "source is empty"),
        ({"scientific_name": "Riccia fluitans"}, "riccia fluitans stands twice"),
    ],
)
def test_a_plant_that_cannot_be_is_refused(cells: dict[str, str], says: str) -> None:
    with pytest.raises(KnowledgeError, match=f"plants.csv: .*{re.escape(says)}"):
        read_plants("plants.csv", changed("plants.csv", **cells))


def test_other_columns_or_a_short_row_are_refused() -> None:
    with pytest.raises(KnowledgeError, match="the columns must be scientific_name"):
        read_species("species.csv", b"name\nNeon\n")
    whole = (HERE / "plants.csv").read_bytes()
    with pytest.raises(KnowledgeError, match="line 68: 1 cells instead of 14"):
        read_plants("plants.csv", whole + b"Lonely\n")


def test_equal_cells_bound_a_range_too() -> None:
    found = read_species("species.csv", changed("species.csv", temp_min_c="28", temp_max_c="28"))
    assert next(iter(found.values())).temp_c == (28.0, 28.0)


def test_each_record_has_an_address_of_its_own() -> None:
    for records in (SPECIES, PLANTS):
        slugs = [r.slug for r in records.values()]
        assert len(set(slugs)) == len(slugs)
    assert slug("Anubias barteri var. nana") == "anubias-barteri-var-nana"


def test_the_lists_use_the_projects_words_and_no_trade_marks() -> None:
    said = [c for s in SPECIES.values() for c in (*s.cautions, *s.names)]
    said += [n for p in PLANTS.values() for n in (*p.notes, *p.names)]
    assert avoided(" ".join(said)) == []
    whole = (HERE / "species.csv").read_text("utf-8") + (HERE / "plants.csv").read_text("utf-8")
    assert not set("™®") & set(whole)


# Where values come from.


def test_what_was_looked_up_names_its_source() -> None:
    assert NEON.provenance("ph") == "looked up: FishBase snapshot of 14 Feb 2013"
    assert NEON.provenance("max_length_cm").startswith("looked up: FishBase v24.07")
    assert NEON.provenance("temp_c").startswith("looked up: FishBase (temperature fields)")
    assert not NEON.is_memory("temp_c")


def test_what_is_from_memory_says_so() -> None:
    for field in ("gh", "adult_tl_cm", "position", "temperament", "min_tank_liters", "diet"):
        assert NEON.provenance(field) == "from memory, not checked"
        assert NEON.is_memory(field)


def test_a_recommended_range_beside_a_looked_up_one_is_from_memory_and_names_it() -> None:
    platy = SPECIES["Xiphophorus maculatus"]
    assert platy.provenance("temp_c").startswith(
        "from memory, checked against a looked-up 18-25 C: FishBase"
    )
    assert platy.is_memory("temp_c")


def test_half_a_range_that_was_looked_up_says_which_half() -> None:
    half = next(s for s in SPECIES.values() if "gh_max_dgh" in s.looked_up)
    assert half.provenance("gh") == (
        "upper end looked up, lower end from memory, not checked: FishBase snapshot of 14 Feb 2013"
    )
    assert half.is_memory("gh")


def test_weight_by_the_shape_of_the_body_does_not_pass_for_the_animals_own() -> None:
    assert "for its shape of body, not for this animal" in NEON.provenance("length_weight_a")
    cardinal = SPECIES["Paracheirodon axelrodi"]
    assert cardinal.provenance("length_weight_a").startswith("looked up: own species")


def test_nothing_passes_memory_off_as_looked_up() -> None:
    tags = {"ph": "pH", "max_length_cm": "max_length_cm", "origin": "origin", "temp_c": "temp"}
    for species in SPECIES.values():
        for field, tag in tags.items():
            assert species.is_memory(field) or tag in species.looked_up, species.common_name
            said = species.provenance(field)
            assert said.removeprefix("looked up: ") != "memory"


def test_every_field_of_every_record_tells_where_it_comes_from() -> None:
    records: list[Species | Plant] = [*SPECIES.values(), *PLANTS.values()]
    for record in records:
        for field in dataclasses.fields(record):
            assert record.provenance(field.name)


def test_what_is_not_known_is_neither_looked_up_nor_remembered() -> None:
    bare = Species(scientific_name="Piscis novus", common_name="New fish")
    assert bare.provenance("temp_c") == "not known"
    assert not bare.is_memory("temp_c")
    with pytest.raises(AttributeError):
        bare.provenance("color")


def test_a_plants_values_are_from_memory_but_for_planting_and_law() -> None:
    anubias, egeria = PLANTS["Anubias barteri"], PLANTS["Egeria densa"]
    assert anubias.provenance("notes").startswith("planting looked up: Temperature (22-25 C")
    assert anubias.is_memory("light_need")
    assert egeria.provenance("regulated").startswith("looked up: Legal status: Vermont")
    assert PLANTS["Lemna minor"].is_memory("regulated")


def test_an_own_animal_names_the_households_source() -> None:
    own = OwnSpecies(
        id=1,
        scientific_name="Piscis novus",
        common_name="New fish",
        ph=(6.0, 7.0),
        position="middle",
        temperament="semi, fin-nipping",
        source="a book of ours",
    )
    species = own_species(own)
    assert species.ph == (6.0, 7.0)
    assert species.temperament == {"semi", "fin-nipping"}
    assert species.position == "mid"
    assert species.provenance("ph") == "from your own list: a book of ours"
    assert own_species(dataclasses.replace(own, source="")).is_memory("ph")


# Looking for a name.


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("neon tetra", "Neon tetra"),
        ("NEON", "Neon tetra"),
        ("paracheirodon axel", "Cardinal tetra"),
        ("Corydoras paleatus", "Peppered corydoras"),  # its former name
        ("Xiphophorus helleri", "Green swordtail"),
        ("platy", "Southern platy"),
        ("Endler’s", "Endler's livebearer"),
        ("endler's", "Endler's livebearer"),
        ("white-cloud", "White cloud mountain minnow"),
        ("rummy nose", "Rummy-nose tetra"),
        ("  black   tetra ", "Black tetra"),
        ("ZÉBRAFISH", "Zebrafish"),
    ],
)
def test_an_animal_is_found_first(text: str, expected: str) -> None:
    assert find_species(text)[0].common_name == expected


def test_the_whole_name_comes_before_its_beginning_and_that_before_words_inside() -> None:
    names = [s.common_name for s in find_species("black")]
    assert names.index("Black tetra") < names.index("Red-tailed black shark")
    assert find_species("guppy")[0].common_name == "Guppy"


@pytest.mark.parametrize("text", ["", "   ", "’", "xyz", "eon tetra", "neon shark"])
def test_nothing_fits(text: str) -> None:
    assert find_species(text) == ()


def test_every_animal_and_plant_is_found_by_each_of_its_main_names() -> None:
    for species in SPECIES.values():
        assert species in find_species(species.common_name)
        assert find_species(species.scientific_name)[0] is species
    for plant in PLANTS.values():
        assert plant in find_plants(plant.common_name)
        assert plant in find_plants(plant.scientific_name)


def test_a_plant_is_found_by_a_former_name() -> None:
    found: tuple[Plant, ...] = find_plants("limnobium")
    assert [p.common_name for p in found] == ["Amazon frogbit"]
