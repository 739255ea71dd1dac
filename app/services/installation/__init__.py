"""One installation and its record: open, check, keep, put back, move to a server."""
