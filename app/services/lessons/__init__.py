"""Lessons from the record: a sheet of one month, and guided lessons with the tank's numbers."""
