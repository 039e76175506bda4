"""What all parts of a scenario have in common."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Section(BaseModel):
    """A part of a scenario: it takes no unknown key and never changes."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=False)
