"""Our side of the published cranking checks."""
