"""A whole label line as a person types it: what each piece was taken for, guessed, or not understood.

A number becomes a rating only where a unit, a mark or the grammar of a code says so; any other number is
shown as not understood.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import get_args

from sizing.inputs.faults import Fault
from sizing.inputs.fields import Quantity
from sizing.inputs.labels.codes import SAID, Facts, facts_of
from sizing.inputs.labels.lexicon import RATED, convertible, marks, refusals
from sizing.inputs.labels.pair import Item, Pairs, best_pairs, items_of, mark_of_each
from sizing.inputs.labels.scan import LONGEST_LINE, Piece, scan, tidy
from sizing.inputs.models import AmpereHours, Amperes, Minutes
from sizing.units import quoted

ENDS: dict[str, Quantity] = {
    family: next(rule for rule in get_args(kind) if isinstance(rule, Quantity))
    for family, kind in (("current", Amperes), ("reserve", Minutes), ("capacity", AmpereHours))
}
UNITS = {"current": "A", "reserve": "min", "capacity": "Ah"}
NOMINAL = 12.0  # V
HOURS = (5.0, 20.0)  # of a discharge, between which one exponent holds well enough
STEADY = (12.0, 15.0)  # V: printed beside water levels and charging advice, not the battery's own


@dataclass(frozen=True)
class Rating:
    """One number on a label and what explains it.

    family : current, reserve or capacity [-]
    value : as printed [A, min or A h]
    mark : beside it or of the code it stands in; empty where none is known [-]
    test : of that mark; empty where none is known [-]
    hours : of the discharge, for a capacity [h]
    text : in the line [-]
    explained_by : unit, mark or the name of the code [-]
    """

    family: str
    value: float
    mark: str
    test: str
    hours: float
    text: str
    explained_by: str


@dataclass(frozen=True)
class Part:
    """One part of a line and what it was taken for; understood is False where it was not."""

    text: str
    start: int
    taken_for: str
    understood: bool = True


@dataclass(frozen=True)
class LabelReading:
    """A label line as understood.

    line : tidied [-]
    parts : in the order of the line [-]
    ratings : printed or written in a code, never guessed [-]
    type : of the battery; empty where the line does not say [-]
    facts : from codes: rank, case and so on [-]
    guesses : what was guessed, in sentences [-]
    refused : why this battery or a rating of it is not worked with [-]
    likely_mark : that amperes without one probably carry; empty where nothing tells [-]
    """

    line: str
    parts: tuple[Part, ...]
    ratings: tuple[Rating, ...]
    type: str
    facts: Facts
    guesses: tuple[str, ...]
    refused: tuple[Fault, ...]
    likely_mark: str

    @property
    def unread(self) -> tuple[str, ...]:
        """What was not understood, as it stands in the line."""
        return tuple(part.text for part in self.parts if not part.understood)


@dataclass
class _Notes:
    """What is collected while a line is read."""

    parts: list[Part] = field(default_factory=list)
    ratings: list[Rating] = field(default_factory=list)
    guesses: list[str] = field(default_factory=list)
    refused: list[Fault] = field(default_factory=list)


def read_line(line: str) -> LabelReading:
    """Return how a label line is understood; whatever is typed, it never fails.

    >>> reading = read_line("12V 60Ah 540A(EN) L2")
    >>> [(rating.value, rating.mark) for rating in reading.ratings], reading.facts.case
    ([(60.0, ''), (540.0, 'EN')], 'LN2')
    >>> read_line("CCA 600 RC 110 foo 7").unread
    ('foo', '7')
    """
    text = tidy(line)
    notes = _Notes()
    if len(text) > LONGEST_LINE:
        notes.refused.append(Fault("label", quoted(line), f"at most {LONGEST_LINE} characters"))
        text = text[:LONGEST_LINE]
    pieces = scan(text)
    facts = _read_codes(pieces, notes)
    items, pairs = best_pairs(items_of(pieces))
    _read_items(items, pairs, facts, notes)
    battery_type = _read_words(pieces, notes)
    _refuse_types(text, notes)
    likely = _likely(facts, items, pairs, notes)
    parts = tuple(sorted(notes.parts, key=lambda part: part.start))
    return LabelReading(
        text, parts, tuple(notes.ratings), battery_type, facts,
        tuple(dict.fromkeys(notes.guesses)), tuple(dict.fromkeys(notes.refused)), likely,
    )  # fmt: skip


def _plausible(family: str, value: float) -> bool:
    ends = ENDS[family]
    low, high = (float(end.split()[0]) for end in (ends.low, ends.high))
    return low <= value <= high


def _read_codes(pieces: Sequence[Piece], notes: _Notes) -> Facts:
    facts = Facts()
    for piece in pieces:
        if piece.code is None:
            continue
        found = facts_of(*piece.code)
        if found is None:
            notes.parts.append(Part(piece.text, piece.start, "not understood", False))
            continue
        facts = facts.with_(found)
        notes.parts.append(Part(piece.text, piece.start, found.said))
        for family, value, mark in found.ratings:
            test = marks()[mark].test if mark else ""
            hours = 20.0 if family == "capacity" else 0.0
            notes.ratings.append(Rating(family, value, mark, test, hours, piece.text, piece.code[0].name))
        notes.guesses += found.guesses
    return facts


def _part_of(text: str, item: Item, said: str, *, understood: bool = True) -> Part:
    return Part(text, item.pieces[0].start, said, understood)


def _text(item: Item) -> str:
    return " ".join(piece.text for piece in item.pieces)


def _read_items(items: Sequence[Item], pairs: Pairs, facts: Facts, notes: _Notes) -> None:
    mark_of = mark_of_each(items, pairs)
    for place, item in enumerate(items):
        if item.is_mark:
            if place not in pairs:
                notes.parts.append(_part_of(_text(item), item, _said_of_idle(item)))
            continue
        _read_number(item, mark_of.get(place), facts, notes)


def _said_of_idle(mark: Item) -> str:
    return "a mark with no number of its own" if mark.mark else "hours that no capacity stands beside"


def _read_number(item: Item, mark: Item | None, facts: Facts, notes: _Notes) -> None:
    family = mark.family if mark is not None else item.family
    text = _text(item) if mark is None else " ".join(
        _text(each) for each in sorted((item, mark), key=lambda each: each.place)
    )  # fmt: skip
    start = min(item.place, mark.place if mark else item.place)
    first = item if start == item.place else mark
    assert first is not None
    if not family:
        notes.parts.append(_part_of(text, item, "a number that no unit or mark explains", understood=False))
    elif family == "voltage":
        _read_voltage(item, notes)
    elif family not in RATED:
        notes.parts.append(_part_of(text, item, f"{SAID[family]}: read, not used"))
    elif not _plausible(family, item.value):
        ends = ENDS[family]
        said = f"outside what is taken here ({ends.low} to {ends.high})"
        notes.parts.append(_part_of(text, first, said, understood=False))
    elif family == "capacity" and mark is not None and not HOURS[0] <= mark.hours <= HOURS[1]:
        said = f"a capacity in {mark.hours:g} h: read, not used (from {HOURS[0]:g} to {HOURS[1]:g} h is)"
        notes.parts.append(_part_of(text, first, said))
    elif mark is not None and mark.mark and not convertible(mark.mark):
        said = next(s for word, s in refusals("battery.standard") if word == mark.mark.casefold())
        notes.refused.append(Fault("battery.standard", quoted(text), said))
        notes.parts.append(_part_of(text, first, "a pulse rating: shown, not worked with"))
    else:
        _take(item, mark, family, text, first, facts, notes)


def _take(
    item: Item, mark: Item | None, family: str, text: str, first: Item, facts: Facts, notes: _Notes
) -> None:
    name = mark.mark if mark is not None and family != "capacity" else ""
    test = marks()[name].test if name else ""
    hours = 0.0
    if family == "capacity":
        hours = mark.hours if mark is not None else _usual_hours(item.value, facts, notes)
    explained = name or (mark.pieces[0].text if mark is not None else item.pieces[-1].text)
    notes.parts.append(_part_of(text, first, _said(family, item.value, name, hours)))
    notes.ratings.append(Rating(family, item.value, name, test, hours, text, explained))
    if name and marks()[name].generic:
        notes.guesses.append(
            f"{text}: {name} alone is taken as the SAE test; many makers print it for EN, within 5 to 10 %."
        )


def _said(family: str, value: float, mark: str, hours: float) -> str:
    number = f"{value:g} {UNITS[family]}"
    if family == "capacity":
        return f"capacity, {number} in {hours:g} h"
    if family == "reserve":
        return f"reserve, {number} at 25 A"
    return f"cold-cranking amps, {number}" + (f" by {mark}" if mark else ", standard not printed")


def _usual_hours(value: float, facts: Facts, notes: _Notes) -> float:
    """Return the hours of a capacity that does not say: 5 h where its Japanese type has it, else 20 h."""
    listed = facts.five_hour_capacity
    if value < listed / 0.9:
        notes.guesses.append(f"{value:g} Ah is taken for 5 h, as Japanese types of this size are listed.")
        return 5.0
    notes.guesses.append(f"{value:g} Ah is taken for 20 h, as most labels mean it.")
    return 20.0


def _read_voltage(item: Item, notes: _Notes) -> None:
    text = _text(item)
    if item.value == NOMINAL:
        notes.parts.append(_part_of(text, item, "12 V battery"))
        return
    if STEADY[0] < item.value <= STEADY[1]:
        notes.parts.append(_part_of(text, item, "a voltage of charging or rest: read, not used"))
        return
    for word, sentence in refusals("battery.voltage"):
        if f"{item.value:g}" == word:
            notes.refused.append(Fault("battery.voltage", quoted(text), sentence))
            notes.parts.append(_part_of(text, item, "a battery of another voltage: not sized here"))
            return
    notes.parts.append(_part_of(text, item, "a voltage that is no battery's here", understood=False))


def _read_words(pieces: Sequence[Piece], notes: _Notes) -> str:
    battery_type = ""
    for before, piece in zip((None, *pieces), pieces, strict=False):
        if piece.kind == "type":
            first = not battery_type
            battery_type = battery_type or piece.meaning
            said = (
                f"type: {piece.meaning}"
                if first or battery_type == piece.meaning
                else "another type: not used"
            )
            notes.parts.append(Part(piece.text, piece.start, said))
            if first and piece.word is not None and piece.word.guessed:
                notes.guesses.append(f"{piece.text}: {piece.word.guessed}.")
        elif piece.kind == "aside":
            notes.parts.append(Part(piece.text, piece.start, f"{piece.meaning}: read, not used"))
        elif piece.kind == "unknown":
            notes.parts.append(Part(piece.text, piece.start, "not understood", False))
        elif piece.kind == "unit" and (before is None or before.kind != "number"):
            notes.parts.append(Part(piece.text, piece.start, "a unit without a number"))
    return battery_type


def _refuse_types(text: str, notes: _Notes) -> None:
    for word, sentence in refusals("battery.type"):
        found = re.search(rf"(?<![^\W_]){re.escape(word)}(?![^\W\d_])", text, re.IGNORECASE)
        if found:
            notes.refused.append(Fault("battery.type", quoted(found.group()), sentence))
            return


def _likely(facts: Facts, items: Sequence[Item], pairs: Pairs, notes: _Notes) -> str:
    """Return the mark that amperes without one probably carry, and say why."""
    bare = [rating for rating in notes.ratings if rating.family == "current" and not rating.test]
    if not bare:
        return ""
    idle = [item for place, item in enumerate(items) if item.mark and place not in pairs]
    apart = [item.mark for item in idle if item.family == "current" and convertible(item.mark)]
    mark, why = (
        (apart[0], "stands apart on the line") if apart else (facts.mark, f"goes with {facts.because}")
    )
    texts = ", ".join(rating.text for rating in bare)
    if mark:
        notes.guesses.append(f"{texts}: no standard beside it; probably {mark}, which {why}.")
    else:
        notes.guesses.append(f"{texts}: no standard beside it, so any usual one is thought possible.")
    return mark
