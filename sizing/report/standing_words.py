"""Sentences about standing idle by key, and its numbers in words: rounded to the safe side."""

from __future__ import annotations

import math
from functools import cache

from sizing.tables import load


@cache
def _sentences() -> dict[str, str]:
    return {row["key"]: row["text"] for row in load("messages_standing").rows}


def say(key: str, **values: str) -> str:
    """Return the sentence of that key (table ``messages_standing``) with its words filled in.

    >>> say("remedy.disconnect")
    'disconnect the battery'
    """
    return _sentences()[key].format(**values)


def days(value: float, looked: int = 0) -> str:
    """Return days, down to the day.

    >>> days(41.9), days(1.2), days(math.inf, 400)
    ('41 days', '1 day', 'more than 400 days')
    """
    if not math.isfinite(value):
        return say("remedy.more_than", looked=str(looked))
    number = math.floor(value + 1e-9)
    return "1 day" if number == 1 else f"{number} days"


def milliamperes(value: float) -> str:
    """Return a draw, down to the milliampere.

    Below a milliampere a tenth of one is shown.

    >>> milliamperes(0.0289), milliamperes(1.25), milliamperes(0.00078)
    ('28 mA', '1.2 A', '0.7 mA')
    """
    if 0.0 < value < 1e-3:
        return f"{math.floor(value * 1e4 + 1e-9) / 10.0:.1f} mA"
    if value >= 1.0:
        return f"{math.floor(value * 10.0 + 1e-9) / 10.0:.1f} A"
    return f"{math.floor(value * 1e3 + 1e-9):.0f} mA"


def percent(value: float) -> str:
    """Return a share in whole percent.

    >>> percent(0.764)
    '76 %'
    """
    return f"{100.0 * value:.0f} %"


def ampere_hours(value: float) -> str:
    """Return a charge to a tenth.

    >>> ampere_hours(20.16)
    '20.2 Ah'
    """
    return f"{value:.1f} Ah"
