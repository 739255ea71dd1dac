"""Use cases: one function each. They own the transaction and receive `now`."""
