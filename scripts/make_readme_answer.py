"""Put the demo's answer into the README, as the command prints it; the tests compare the two.

Run it from the root of the repository: ``python scripts/make_readme_answer.py``.
"""

from __future__ import annotations

import re
import subprocess
import sys
import textwrap
from itertools import takewhile
from pathlib import Path

README = Path(__file__).parents[1] / "README.md"
WIDTH = 96  # letters
SHOWN_UNTIL = "What makes the answer wide"  # the rest is details, reminders and cautions
BLOCK = re.compile(r"(?<=^```text\n).*?(?=^```$)", re.MULTILINE | re.DOTALL)


def shown() -> str:
    """Return the part of the demo's answer that the README shows, wrapped."""
    command = [sys.executable, "-m", "sizing", "recommend"]
    said = subprocess.run(
        command, cwd=README.parent, capture_output=True, encoding="utf-8", check=True
    ).stdout
    part = "\n".join(takewhile(lambda line: line != SHOWN_UNTIL, said.splitlines())).strip()
    return "\n".join(wrapped(line) for line in part.splitlines()) + "\n"


def wrapped(line: str) -> str:
    """Return a line cut at words, points of a list hanging."""
    indent = " " * (len(line) - len(line.lstrip(" -")))
    return textwrap.fill(line, WIDTH, subsequent_indent=indent) if len(line) > WIDTH else line


def written(readme: str) -> str:
    """Return the text of the README with the answer in its first block of text."""
    return BLOCK.sub(lambda _: shown(), readme, count=1)


if __name__ == "__main__":
    README.write_text(written(README.read_text(encoding="utf-8")), encoding="utf-8")
