"""What stands on paper: one module a paper, each made from the record as of a moment."""
