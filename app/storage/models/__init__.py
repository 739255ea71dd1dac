"""Tables, one module per noun. Importing this package fills the metadata."""

from app.storage.models import (
    access,
    entry,
    evaluation,
    feeding,
    forecast,
    kit,
    livestock,
    maintenance,
    marks,
    site,
    tank,
    water,
)

__all__ = [
    "access",
    "entry",
    "evaluation",
    "feeding",
    "forecast",
    "kit",
    "livestock",
    "maintenance",
    "marks",
    "site",
    "tank",
    "water",
]
