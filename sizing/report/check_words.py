"""Words and numbers of the sentences about the battery in hand, all from one table."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache

from sizing.advice.condition_answer import Condition, Finding
from sizing.report.words import temperature
from sizing.tables import load
from sizing.units import System

DAY, HOUR = 86400.0, 3600.0


@cache
def _sentences() -> dict[str, str]:
    return {row["key"]: row["text"] for row in load("messages_check").rows}


def say(key: str, **values: str) -> str:
    """Return the sentence of that key (table ``messages_check``) with its words filled in.

    >>> say("reading.ripple.name")
    'Ripple with the engine running'
    """
    return _sentences()[key].format(**values)


def percent(share: float) -> str:
    """Return a share in whole percent.

    >>> percent(0.764)
    '76 %'
    """
    return f"{100.0 * share:.0f} %"


def months(value: float, looked: int = 0) -> str:
    """Return months, down to the month.

    >>> months(17.6), months(1.2), months(math.inf, 96)
    ('17 months', '1 month', 'more than 96 months')
    """
    if not math.isfinite(value):
        return say("json.beyond", looked=str(looked))
    number = math.floor(value + 1e-9)
    return "1 month" if number == 1 else f"{number} months"


def shown(name: str, value: float, units: System) -> str:
    """Return a number of a finding as people read it; the last word of its name says how.

    >>> shown("lowest_volts", 9.8, "metric"), shown("charge_share", 0.62, "metric")
    ('9.80 V', '62 %')
    >>> shown("time_hours", 7200.0, "metric"), shown("cell_number", 3.0, "metric")
    ('2 hours', '3')
    """
    kind = name.rpartition("_")[2]
    if kind == "temperature":
        return temperature(value, units)
    if kind == "regulator":
        return when(value, units)
    if kind == "share":
        return percent(value)
    if kind == "hours":
        number = value / HOUR
        return "1 hour" if round(number, 1) == 1.0 else f"{number:.3g} hours"
    if kind == "days":
        number = math.floor(value / DAY)
        return "less than a day" if number < 1 else "a day" if number == 1 else f"{number} days"
    forms = {
        "volts": f"{value:.2f} V",
        "amperes": f"{value:.0f} A",
        "milliamperes": f"{value * 1e3:.0f} mA",
        "milliohms": f"{value * 1e3:.1f} mΩ",
        "gravity": f"{value:.3f}",
        "number": f"{value:.0f}",
        "onoff": "on" if value else "off",
    }
    return forms[kind]


def when(value: float, units: System) -> str:
    """Return at which temperature a regulator is judged; nobody may have told one."""
    if math.isnan(value):
        return say("regulator.any")
    return say("regulator.at", temperature=temperature(value, units))


def units_of(answer: Condition) -> System:
    """Return the units of an answer."""
    return "US" if answer.scenario.show.units == "US" else "metric"


def reading_name(name: str) -> str:
    """Return what a reading is called.

    >>> reading_name("rest_voltage")
    'Voltage at rest'
    """
    return say(f"reading.{name}.name")


def filled(values: Mapping[str, float], units: System) -> dict[str, str]:
    """Return the numbers of a finding as people read them."""
    return {name: shown(name, value, units) for name, value in values.items()}


def sign(finding: Finding, units: System) -> str:
    """Return what a reading says, as part of a sentence."""
    return say(f"sign.{finding.key}", **filled(finding.values, units))
