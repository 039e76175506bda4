"""Our side of the published electrolyte checks."""
