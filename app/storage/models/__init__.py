"""Tables, one module per noun. Importing this package fills the metadata."""

from app.storage.models import access, entry, feeding, livestock, maintenance, site, tank, water

__all__ = ["access", "entry", "feeding", "livestock", "maintenance", "site", "tank", "water"]
