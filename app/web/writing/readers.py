"""Several readers of one tube: who looked, and which color each saw. Every row is kept."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from wtforms.widgets import Select

from app.domain.guard import NewReading, card_reading
from app.domain.kit import Kit
from app.domain.quantities import FACTS, Quantity
from app.domain.records import Reading
from app.domain.tube import MOST_READERS
from app.services.story import StoryLine
from app.web.fields import ChoiceField, PageForm, choices_of, plain
from app.web.writing.staying import typed_so_far

_NUMBERED = ("first", "second", "third", "fourth", "fifth")


def names_of(quantity: Quantity, readers: int) -> tuple[str, ...]:
    """The names of the color fields, one a reader; the first has the quantity's own name."""
    name = quantity.value
    return (name, *(f"{name}_{number}" for number in range(2, readers + 1)))


def by_name(name: str) -> str:
    """The name of the field for who saw the color in the field called `name`."""
    return f"{name}_by"


def how_many(quantity: Quantity, line: StoryLine | None) -> int:
    """How many readers the form has room for: those asked for, and those of an entry to fix."""
    written = [r.readers for r in line.readings if r.quantity is quantity] if line else []
    typed = typed_so_far()
    asked = [n for n, name in enumerate(names_of(quantity, MOST_READERS), 1) if name in typed]
    return min(max([1, *written, *asked]), MOST_READERS)


def reader_fields(
    quantity: Quantity, readers: int, colors: dict[str, str], people: Mapping[str, str]
) -> dict[str, Any]:
    """The fields for who read, and for the colors from the second reader on; {} for one reader.

    `people` are the tiles that are offered, nicknames by the number of their author.
    """
    label = FACTS[quantity].label
    fields: dict[str, Any] = {}
    if readers < 2:
        return fields
    for number, name in zip(_NUMBERED, names_of(quantity, readers), strict=False):
        fields[by_name(name)] = ChoiceField(
            f"{label}, {number} reader",
            noun="who read it",
            choices={"": "Not said", **people},
            default="",
            widget=Select(),
        )
        if name != quantity.value:
            fields[name] = ChoiceField(
                f"{label}, what the {number} reader saw",
                noun=f"a color for {label}",
                choices=colors | {"": "Not read"},
                default="",
                widget=Select(),
            )
    return fields


def values_of_tube(reading: Reading) -> dict[str, str]:
    """What several readers of an entry saw, as data for the fields."""
    seen = reading.tube.seen if reading.tube else ()
    names = names_of(reading.quantity, len(seen))
    data = {name: each.typed for name, each in zip(names, seen, strict=True)}
    by = (plain(each.reader_id) for each in seen)
    return data | {by_name(name): reader for name, reader in zip(names, by, strict=True)}


def readers_of(line: StoryLine | None) -> dict[str, str]:
    """Who read for an entry, as choices: also those whose tile is gone."""
    tubes = [reading.tube for reading in line.readings if reading.tube] if line else []
    named = {plain(s.reader_id): s.reader for tube in tubes for s in tube.seen if s.reader}
    return dict(sorted(named.items(), key=lambda item: item[1]))


def read(form: PageForm, quantity: Quantity, kit: Kit, readers: int) -> Iterator[NewReading]:
    """One reading for each color that was chosen; what is half said gets a sentence."""
    named: set[str] = set()
    for name in names_of(quantity, readers):
        choice = form[name].data
        person = form[by_name(name)].data if readers > 1 else ""
        called = choices_of(form[by_name(name)]).get(person, "") if person else ""
        if person and person in named:
            form.complain(by_name(name), f"{called} stands here twice. Choose who else looked.")
        elif called and not choice:
            form.complain(name, f"Choose the color that {called} saw, or nobody.")
        named.add(person)
        try:
            found = card_reading(kit, choice) if choice else None
        except ValueError:
            continue  # the field itself has refused the choice
        if found is not None:
            yield replace(found, reader_id=int(person) if called else None)
