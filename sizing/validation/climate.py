"""Our side of the published climate checks."""
