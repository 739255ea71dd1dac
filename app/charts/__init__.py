"""Pictures of the record as SVG, each with its words and its table. One lock covers drawing."""
