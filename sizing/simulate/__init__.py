"""Time and chance: physics coupled to weather and to what is not known exactly."""
