"""Records, drafts and tables name the same things the same way."""

from dataclasses import fields
from typing import Any

import pytest

from app.domain import drafts, forecast, kit, livestock, records, tank
from app.services.entries import _LATER_FIELDS
from app.storage.models import feeding, maintenance, water
from app.storage.models import forecast as forecast_tables
from app.storage.models import kit as kit_tables
from app.storage.models import livestock as animal_tables
from app.storage.models import tank as tank_tables

HEADER = {field.name for field in fields(records.Entry)}
# the group's name is looked up; signs are kept as words in one column
NOT_KEPT = {"group_name"}


def named(record: type[Any]) -> set[str]:
    return {field.name for field in fields(record)}


def columns(table: type[Any]) -> set[str]:
    return set(table.__mapper__.attrs.keys())


@pytest.mark.parametrize(
    ("record", "draft", "table"),
    [
        (records.Feeding, drafts.NewMeal, feeding.Feeding),
        (records.WaterTest, drafts.NewTest, water.WaterTest),
        (records.Job, drafts.NewJob, maintenance.Job),
        (records.StockEvent, drafts.NewStockEvent, animal_tables.StockEvent),
        (records.Observation, drafts.NewLook, animal_tables.Observation),
    ],
)
def test_what_is_written_down_is_kept_and_read_again(
    record: type[Any], draft: type[Any], table: type[Any]
) -> None:
    assert named(draft) <= columns(table)
    assert named(draft) <= named(record)
    assert named(record) - HEADER - NOT_KEPT <= columns(table)


@pytest.mark.parametrize(
    ("record", "table", "otherwise"),
    [
        (records.Treatment, maintenance.Treatment, set()),
        (tank.TankShape, tank_tables.Tank, set()),
        (tank.PlannedJob, tank_tables.CareJob, set()),
        (tank.Tank, tank_tables.Tank, {"shape", "scoop_grams", "scoop_id", "ranges", "plan"}),
        (tank.CarePlan, tank_tables.CarePlan, {"jobs"}),
        (forecast.Forecast, forecast_tables.Forecast, {"stands"}),
        (kit.Kit, kit_tables.Kit, set()),
        (kit.KitComparison, kit_tables.KitComparison, set()),
        (kit.Equipment, kit_tables.Equipment, set()),
        (kit.Supply, kit_tables.Supply, {"left"}),
        (livestock.StockGroup, animal_tables.StockGroup, {"count", "length_cm", "hidden_losses"}),
        (livestock.Batch, animal_tables.StockBatch, set()),
        (livestock.Plant, animal_tables.Plant, set()),
        (livestock.OwnSpecies, animal_tables.OwnSpecies, {"group", "temperature_c", "ph", "gh"}),
    ],
)
def test_a_record_is_read_from_columns_of_its_names(
    record: type[Any], table: type[Any], otherwise: set[str]
) -> None:
    assert named(record) - otherwise <= columns(table)


def test_what_came_later_is_empty_unless_somebody_says_it() -> None:
    for draft in (drafts.NewMeal, drafts.NewJob, drafts.NewStockEvent, drafts.NewLook):
        for field in fields(draft):
            if field.name in _LATER_FIELDS:
                assert field.default in (None, "", False), field.name
