"""Label lines as a person types them: read, with what was guessed and what was not understood."""

from __future__ import annotations

from sizing.inputs.labels.reading import LabelReading, Part, Rating, read_line

__all__ = ["LabelReading", "Part", "Rating", "read_line"]
