"""The section ``replacing`` of a scenario: where the battery sits, for the sheet on changing it."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from sizing.inputs.fields import Choice, YesOrNo
from sizing.inputs.section import Section

POSITIONS = {
    "engine bay": ("engine", "bonnet", "hood"),
    "boot": ("trunk", "luggage"),
    "cabin": ("seat", "under seat", "under a seat", "inside"),
    "frame": ("outside", "box"),
}


class Replacing(Section):
    """What the sheet on changing the battery has to know of the vehicle."""

    position: Annotated[str, Choice(lambda: POSITIONS)] = Field(
        default="engine bay", description="Where the battery sits: engine bay, boot, cabin or frame."
    )
    positive_earth: Annotated[bool, YesOrNo()] = Field(
        default=False, description="An old vehicle whose positive pole is on the body."
    )
    heat_shield: Annotated[bool, YesOrNo()] = Field(
        default=True, description="The battery has a heat shield or sleeve; true when not given."
    )
