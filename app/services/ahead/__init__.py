"""What the Look ahead pages show: one module for each question."""
