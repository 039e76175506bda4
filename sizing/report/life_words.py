"""Words of how long a battery lasts: its sentences by key, years and months, and what was taken as usual."""

from __future__ import annotations

from functools import cache

from sizing.advice.life import LifeAnswer
from sizing.advice.life_changes import STREET
from sizing.inputs import Life
from sizing.physics.ageing import ageing_type
from sizing.report.words import count, years
from sizing.tables import load

MINUTE = 60.0  # s
IN_BAY = "engine bay"


@cache
def all_sentences() -> dict[str, str]:
    """Return every sentence by its key."""
    return {row["key"]: row["text"] for row in load("messages_life").rows}


def say(key: str, **values: str) -> str:
    """Return the sentence of that key (table ``messages_life``) with its words filled in.

    >>> say("line.none", what="a sleeve")
    'a sleeve: no difference worth a number.'
    """
    return all_sentences()[key].format(**values)


def percent(share: float) -> str:
    """Return a share in whole percent.

    >>> percent(0.336)
    '34 %'
    """
    return f"{100.0 * share:.0f} %"


def months(value: float) -> str:
    """Return months, whichever sign, in words.

    >>> months(9.3), months(-1.1), months(0.2)
    ('nine months', 'one month', 'less than a month')
    """
    number = round(abs(value))
    if number == 0:
        return say("months.less")
    return say("months.one") if number == 1 else say("months.many", number=count(number))


def tells(value: float) -> bool:
    """Return whether years come to a month or more."""
    return round(12.0 * value) > 0


def served(value: float) -> str:
    """Return years in service in words.

    >>> served(0.03), served(2.5)
    ('less than a month', '2.5 years')
    """
    return years(value) if tells(value) else say("months.less")


def cost(value: float) -> str:
    """Return what a breakdown costs, in words."""
    if value == 0.0:
        return say("cost.none")
    return say("cost.one") if value == 1.0 else say("cost.batteries", number=f"{value:g}")


def _matters(key: str, answer: LifeAnswer) -> bool:
    """Return whether a field that nobody told has a part in this answer."""
    needs = {
        "position": answer.told.location == IN_BAY,
        "topped_up_years": ageing_type(answer.type).opens,
        "parked_in_sun": answer.scenario.place.shelter == STREET,
    }
    return bool(needs.get(key, True))


def _usual(key: str, answer: LifeAnswer) -> str:
    """Return what is taken of a field that nobody told, where its words have a place for it."""
    told = answer.told
    worded = {
        "trip_time": f"{told.trip_time / MINUTE:.0f}",
        "end_capacity": percent(told.end_capacity),
        "breakdown_cost": cost(told.breakdown_cost),
        "shield": say(f"shielded.{told.shield}"),
    }
    value = getattr(told, key)
    return worded.get(key, f"{value:g}" if isinstance(value, int | float) else str(value))


def assumed_words(answer: LifeAnswer) -> list[str]:
    """Return every field that nobody told and that has a part, in words and by its key."""
    taken = {
        f"life.{field.alias or key}": say(f"assumed.{key}", value=_usual(key, answer))
        for key, field in Life.model_fields.items()
        if key not in answer.told.model_fields_set and _matters(key, answer)
    }
    return [say("assumed", words=words, field=field) for field, words in taken.items()]
