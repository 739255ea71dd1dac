"""The household's own catalogue: written with its source, found by any name, kept while used."""

from dataclasses import replace

import pytest

from app.domain.errors import NotFound, Refused
from app.services import own_species
from app.services.livestock import animals
from app.services.own_species import SpeciesDraft
from app.services.sites import FIRST
from tests.record import Record

PENCIL = SpeciesDraft(
    scientific_name="Nannostomus éques",
    common_name="Hockeystick pencilfish",
    temperature_c=(23.0, 28.0),
    ph=(5.0, 7.0),
    adult_cm=4.0,
    min_group=8,
    source="A book on the shelf, page 12",
)


def test_what_was_read_comes_back_as_it_was_written(record: Record) -> None:
    with record.database.writing() as session:
        species_id = own_species.add(session, FIRST, PENCIL)
        found = own_species.by_name(session, FIRST, "Nannostomus éques")
    assert found is not None
    assert found.id == species_id
    assert (found.group, found.temperature_c, found.ph, found.gh) == (
        "fish", (23.0, 28.0), (5.0, 7.0), None,
    )  # fmt: skip
    assert (found.min_group, found.source) == (8, "A book on the shelf, page 12")


@pytest.mark.parametrize(
    ("text", "there"),
    [
        ("EQUES", True),
        ("stick  pencil", True),
        ("nannostomus", True),
        ("%", False),
        ("tetra", False),
    ],
)
def test_it_is_found_by_a_part_of_a_name(record: Record, text: str, there: bool) -> None:
    with record.database.writing() as session:
        own_species.add(session, FIRST, PENCIL)
        assert bool(own_species.find(session, FIRST, text)) is there


def test_an_animal_of_a_group_is_neither_struck_nor_renamed(record: Record) -> None:
    with record.database.writing() as session:
        species_id = own_species.add(session, FIRST, PENCIL)
        animals.add_group(session, record.tank_id, "pencilfish", species=PENCIL.scientific_name)
        with pytest.raises(Refused, match="pencilfish"):
            own_species.remove(session, species_id)
        with pytest.raises(Refused, match="pencilfish"):
            own_species.change(session, species_id, replace(PENCIL, scientific_name="Other"))
        own_species.change(session, species_id, replace(PENCIL, gh=(2.0, 8.0)))
        assert own_species.own_species(session, FIRST)[0].gh == (2.0, 8.0)


def test_an_unused_animal_can_be_struck(record: Record) -> None:
    with record.database.writing() as session:
        own_species.remove(session, own_species.add(session, FIRST, PENCIL))
        assert own_species.own_species(session, FIRST) == ()
        with pytest.raises(NotFound):
            own_species.remove(session, 99)


@pytest.mark.parametrize(
    ("more", "why"),
    [
        ({"scientific_name": ""}, "scientific name"),
        ({"common_name": " "}, "common name"),
        ({"source": ""}, "where you read it"),
        ({"ph": (7.0, 7.0)}, "below the high"),
        ({"adult_cm": 0.0}, "how long"),
        ({"min_group": 0}, "1 animal or more"),
    ],
)
def test_an_animal_that_cannot_be_is_refused(
    record: Record, more: dict[str, object], why: str
) -> None:
    with record.database.writing() as session, pytest.raises(Refused, match=why):
        own_species.add(session, FIRST, replace(PENCIL, **more))  # type: ignore[arg-type]


def test_an_animal_stands_in_the_catalogue_once(record: Record) -> None:
    with record.database.writing() as session:
        own_species.add(session, FIRST, PENCIL)
        with pytest.raises(Refused, match="already"):
            own_species.add(session, FIRST, replace(PENCIL, common_name="Another name"))
