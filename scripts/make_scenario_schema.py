"""Write docs/scenario.schema.json, the JSON Schema of a scenario file, from the models."""

from __future__ import annotations

import json
from pathlib import Path

from sizing.inputs import json_schema

TARGET = Path(__file__).parents[1] / "docs" / "scenario.schema.json"


def text() -> str:
    """Return the schema as it stands in the file."""
    return json.dumps(json_schema(), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    TARGET.write_text(text(), encoding="utf-8")
    print(f"written: {TARGET.name}")
