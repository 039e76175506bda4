"""How numbers are said to a person: rounded to the safe side, with their unit, small counts as words."""

from __future__ import annotations

import math
from functools import cache

from sizing.advice.coldest import COLDEST, WARMEST
from sizing.tables import load
from sizing.units import System, show, shown

COUNTS = (
    "no", "one", "two", "three", "four", "five", "six",
    "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip
AMPERE_STEP = 10.0  # A: shelves do not tell finer apart
MINUTE_STEP = 5.0
SHORT_RESERVE = 30.0  # min; below it minutes are said one by one
SLACK = 1e-6  # relative: a value this little above a step is on it
MILE = 1609.344  # m, exact by definition
NEAR_FLOOR = 1e-3  # K


@cache
def _sentences() -> dict[str, str]:
    return {row["key"]: row["text"] for row in load("messages").rows}


def say(key: str, **values: str) -> str:
    """Return the sentence of that key (table ``messages``) with its words filled in.

    >>> say("night.stated", temperature="-30 °C")
    'in a night of -30 °C'
    """
    return _sentences()[key].format(**values)


def has(key: str) -> bool:
    """Tell whether there is a sentence of that key."""
    return key in _sentences()


def up(value: float, step: float) -> float:
    """Return a value up to the next step.

    >>> up(517.0, 10.0), up(520.0, 10.0)
    (520.0, 520.0)
    """
    return math.ceil(value / step * (1.0 - SLACK)) * step


def amperes(value: float) -> str:
    """Return amperes up to the next ten.

    >>> amperes(517.0), amperes(520.0), amperes(float("inf"))
    ('520 A', '520 A', 'more than any battery gives')
    """
    return f"{up(value, AMPERE_STEP):.0f} A" if math.isfinite(value) else "more than any battery gives"


def amperes_down(value: float) -> str:
    """Return amperes that there are to spare, down to the next ten.

    >>> amperes_down(129.0)
    '120 A'
    """
    return f"{math.floor(value / AMPERE_STEP * (1.0 + SLACK)) * AMPERE_STEP:.0f} A"


def minutes(value: float) -> str:
    """Return minutes of reserve up to the next five, short ones up to the next one.

    >>> minutes(101.0), minutes(12.2), minutes(float("inf"))
    ('105 minutes', '13 minutes', 'more minutes than any battery gives')
    """
    if not math.isfinite(value):
        return "more minutes than any battery gives"
    return f"{up(value, MINUTE_STEP if value > SHORT_RESERVE else 1.0):.0f} minutes"


def ampere_hours(value: float) -> str:
    """Return ampere-hours up to the next one.

    >>> ampere_hours(69.2)
    '70 Ah'
    """
    return f"{up(value, 1.0):.0f} Ah" if math.isfinite(value) else "more Ah than any battery gives"


def temperature(kelvin: float, units: System) -> str:
    """Return a temperature [K] in whole degrees.

    >>> temperature(243.15, "metric"), temperature(243.15, "US")
    ('-30 °C', '-22 °F')
    """
    return show(kelvin, "temperature", units)


def coldest(kelvin: float, units: System) -> str:
    """Return down to which night something starts [K]; the coldest night looked at is said as such.

    >>> coldest(223.15, "metric"), coldest(250.15, "metric"), coldest(float("inf"), "metric")
    ('down to -50 °C or colder', 'down to -23 °C', 'not even on a night of 25 °C')
    """
    if not math.isfinite(kelvin):
        return say("hand.not_even", temperature=temperature(WARMEST, units))
    text = temperature(max(kelvin, COLDEST), units)
    return say("hand.down", temperature=f"{text} or colder" if at_floor(kelvin) else text)


def at_floor(kelvin: float) -> bool:
    """Tell whether a coldest start [K] is the coldest that is looked at."""
    return kelvin <= COLDEST + NEAR_FLOOR


def degrees(kelvin: float, units: System) -> str:
    """Return a difference of temperature [K] in whole degrees of the system's own scale.

    >>> degrees(1.0, "metric"), degrees(10.0, "US")
    ('1 degree', '18 degrees')
    """
    number = f"{abs(shown(kelvin, 'temperature difference', units)[0]):.0f}"
    return f"{number} degree" if number == "1" else f"{number} degrees"


def distance(metres: float, units: System) -> str:
    """Return a distance [m] in whole kilometres or miles.

    >>> distance(12_400.0, "metric"), distance(12_400.0, "US")
    ('12 km', '8 miles')
    """
    if units == "metric":
        return f"{metres / 1e3:.0f} km"
    miles = f"{metres / MILE:.0f}"
    return "1 mile" if miles == "1" else f"{miles} miles"


def chance(share: float) -> str:
    """Return a chance that is asked for.

    >>> chance(0.95), chance(0.995)
    ('95 in 100', '99.5 in 100')
    """
    return f"{100.0 * share:.4g} in 100"


def found_chance(share: float) -> str:
    """Return a chance that was computed: no finer than the samples carry.

    >>> found_chance(0.999), found_chance(0.874), found_chance(0.0)
    ('more than 99 in 100', '87 in 100', 'less than 1 in 100')
    """
    if share > 0.99:
        return "more than 99 in 100"
    return f"{100.0 * share:.0f} in 100" if share >= 0.01 else "less than 1 in 100"


def count(number: int) -> str:
    """Return a count in words as far as twelve.

    >>> count(2), count(24)
    ('two', '24')
    """
    return COUNTS[number] if 0 <= number < len(COUNTS) else str(number)


def years(value: float) -> str:
    """Return an age or a period in words.

    >>> years(4.0), years(1.0), years(0.5), years(2.5), years(20.0), years(1 / 3)
    ('four years', 'one year', 'half a year', '2.5 years', '20 years', 'four months')
    """
    if value == 0.0:
        return "no time"
    if value == 0.5:
        return "half a year"
    months = round(12.0 * value)
    if value < 1.0 and months < 12:
        return "one month" if months == 1 else f"{count(months)} months"
    number = round(value, 1)
    text = count(int(number)) if number == int(number) else f"{number:.1f}"
    return "one year" if text == "one" else f"{text} years"


def listed(words: list[str]) -> str:
    """Return words as a list in a sentence.

    >>> listed(["oil", "type", "age"]), listed(["oil"])
    ('oil, type and age', 'oil')
    """
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
