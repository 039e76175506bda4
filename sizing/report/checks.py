"""The published checks as a table for people: the missed first, each with its reason."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sizing.report.words import say
from sizing.validation import Outcome

WIDTH = 12  # characters of a column of numbers


def _figure(value: str | float) -> str:
    return value if isinstance(value, str) else f"{value:.5g}"


def _line(outcome: Outcome) -> str:
    published, ours = _figure(outcome.published), _figure(outcome.ours)
    where = f"{outcome.quantity}; {outcome.conditions}" if outcome.conditions else outcome.quantity
    told = f"{outcome.source}, {outcome.status}"
    return f"{outcome.id:<5} {published:>{WIDTH}} {ours:>{WIDTH}}  {where} [{told}]"


def all_misses_stated(outcomes: Iterable[Outcome]) -> bool:
    """Tell whether every missed check has its reason written down."""
    return all(outcome.met or outcome.miss_reason for outcome in outcomes)


def check_lines(outcomes: Sequence[Outcome]) -> list[str]:
    """Return the table line by line: counts, then what is missed and why, then what is met."""
    missed = [outcome for outcome in outcomes if not outcome.met]
    met = [outcome for outcome in outcomes if outcome.met]
    lines = [
        say(
            "validate.counts",
            met=str(len(met)),
            all=str(len(outcomes)),
            checks=str(len({outcome.id for outcome in outcomes})),
        )
    ]
    head = f"{'check':<5} {'published':>{WIDTH}} {'ours':>{WIDTH}}  {say('validate.head')}"
    if missed:
        lines += ["", say("validate.missed"), head]
        for outcome in missed:
            reason = outcome.miss_reason or say("validate.unstated")
            lines += [
                _line(outcome),
                f"{'':5} {say('validate.asked')} {outcome.tolerance}",
                f"{'':5} {reason}",
            ]
    return [*lines, "", say("validate.met"), head, *(_line(outcome) for outcome in met)]
