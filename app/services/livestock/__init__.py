"""Animals and plants of a tank: who lives there, what they need, what is thought about."""
