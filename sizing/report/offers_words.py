"""Words and amounts of offers, for their sentences, tables and charts."""

from __future__ import annotations

from functools import cache

from sizing.advice.offers import Comparison
from sizing.advice.recommend import Estimate
from sizing.report.words import years
from sizing.tables import load


@cache
def _sentences() -> dict[str, str]:
    return {row["key"]: row["text"] for row in load("messages_offers").rows}


def say(key: str, **values: str) -> str:
    """Return the sentence of that key (table ``messages_offers``) with its words filled in.

    >>> say("credit.part", value="40", month="48")
    'worth 40 at month 48'
    """
    return _sentences()[key].format(**values)


def money(value: float) -> str:
    """Return an amount without a currency, no finer than it is known.

    >>> money(5.256), money(48.77), money(165.0), money(1234.5)
    ('5.26', '48.8', '165', '1234')
    """
    return f"{value:.2f}" if value < 10.0 else f"{value:.1f}" if value < 100.0 else f"{value:.0f}"


def number(value: float) -> str:
    """Return an expected count to a tenth.

    >>> number(1.854)
    '1.9'
    """
    return f"{value:.1f}"


def span(estimate: Estimate) -> str:
    """Return an amount with the interval of single owners."""
    ends = {name: money(getattr(estimate, name)) for name in ("value", "low", "high")}
    return say("row.span", **ends)


def horizon_words(answer: Comparison) -> str:
    """Return the time over which is compared."""
    return years(answer.scenario.buying.horizon_years)
