"""Tables, one module per noun. Importing this package fills the metadata."""

from app.storage.models import (
    access,
    classes,
    entry,
    evaluation,
    feeding,
    forecast,
    kit,
    links,
    livestock,
    maintenance,
    marks,
    notebook,
    oversight,
    site,
    tank,
    water,
)

__all__ = [
    "access",
    "classes",
    "entry",
    "evaluation",
    "feeding",
    "forecast",
    "kit",
    "links",
    "livestock",
    "maintenance",
    "marks",
    "notebook",
    "oversight",
    "site",
    "tank",
    "water",
]
