"""Plain records: what a tank's life consists of, without database, web or rules."""
