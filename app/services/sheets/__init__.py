"""A keeper's own table comes in, with any headers, and can be taken back whole."""
