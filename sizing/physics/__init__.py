"""Pure relations on NumPy arrays, SI inside: no input, no output, no wording."""
