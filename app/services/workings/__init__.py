"""Working-out pages: numbers in, the answer with its working out. Nothing here is saved."""
