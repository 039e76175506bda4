"""``python -m sizing`` is the command ``sizing``."""

from __future__ import annotations

from sizing.cli import main

if __name__ == "__main__":
    main()
