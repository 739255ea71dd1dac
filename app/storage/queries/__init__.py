"""Questions to the tables, one module per noun. Nothing here commits."""
