"""Our side of the published ratings checks."""
