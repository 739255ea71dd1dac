"""From a snapshot to what is due and why: pure functions, one small rule each."""
