"""Which number belongs to which mark: tried in both orders, and the order that explains most is taken."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sizing.inputs.labels.lexicon import RATED, marks
from sizing.inputs.labels.scan import Piece


@dataclass(frozen=True)
class Item:
    """A number with its unit, or a mark, with the pieces it is made of.

    family : current, reserve, capacity or another quantity; empty for a bare number [-]
    value : of a number; NaN for a mark [-]
    mark : of a mark; empty for a number [-]
    hours : of the discharge that a mark of capacity names; 0 for others [h]
    pieces : it is made of [-]
    place : of its first piece among all pieces [-]
    length : so many pieces [-]
    """

    family: str
    value: float
    mark: str
    hours: float
    pieces: tuple[Piece, ...]
    place: int
    length: int

    @property
    def is_mark(self) -> bool:
        """Whether it is a mark."""
        return bool(self.mark) or self.hours > 0.0

    @property
    def end(self) -> int:
        """Number of the piece behind it."""
        return self.place + self.length


NAN = float("nan")


def items_of(pieces: Sequence[Piece]) -> tuple[Item, ...]:
    """Return numbers with their units, and marks; other pieces stand between them."""
    found: list[Item] = []
    place = 0
    while place < len(pieces):
        piece = pieces[place]
        after = pieces[place + 1] if place + 1 < len(pieces) else None
        item: Item | None = None
        if piece.kind == "number":
            if after is not None and after.kind == "unit" and after.meaning == "hours":
                item = Item("capacity", NAN, "", piece.value, (piece, after), place, 2)
            elif after is not None and after.kind == "unit":
                item = Item(after.meaning, piece.value, "", 0.0, (piece, after), place, 2)
            else:
                item = Item("", piece.value, "", 0.0, (piece,), place, 1)
        elif piece.kind == "mark":
            mark = marks()[piece.meaning]
            item = Item(mark.family, NAN, piece.meaning, mark.hours, (piece,), place, 1)
        if item is not None:
            found.append(item)
        place = item.end if item is not None else place + 1
    return tuple(found)


def merged(items: Sequence[Item]) -> tuple[Item, ...]:
    """Return the items with a general mark, such as CCA, given up where a standard's own stands beside it."""
    kept: list[Item] = []
    for item in items:
        before = kept[-1] if kept else None
        if before and before.mark and item.mark and before.family == item.family and before.end == item.place:
            general, other = (before, item) if marks()[before.mark].generic else (item, before)
            if marks()[general.mark].generic:
                kept[-1] = replace(
                    other,
                    pieces=before.pieces + item.pieces,
                    place=before.place,
                    length=before.length + item.length,
                )
                continue
        kept.append(item)
    return tuple(kept)


def _fits(mark: Item, number: Item) -> bool:
    if number.is_mark or number.family not in ("", *RATED):
        return False
    # hours alone explain no bare number: "60 20h" may be anything
    bare_hours = not mark.mark and not number.family
    return not bare_hours and number.family in ("", mark.family)


def _says_the_same(mark: Item, other: Item) -> bool:
    """Tell whether two marks may share a number: CCA 600 A (SAE), or C20 70 Ah 20 h."""
    if mark.family == "capacity":
        return mark.hours == other.hours
    return bool(mark.mark and other.mark) and marks()[mark.mark].generic != marks()[other.mark].generic


Pairs = dict[int, int]  # number of a mark among the items -> number of its number


def pairs_in_order(items: Sequence[Item], *, mark_first: bool) -> Pairs:
    """Return the pairs of marks and numbers beside each other, one order preferred.

    A mark in the same breath as its number, ``540A(EN)``, is what both orders agree on.
    """
    taken: Pairs = {}
    steps = (1, -1) if mark_first else (-1, 1)
    for step in steps:
        for here, item in enumerate(items):
            there = here + step
            if not item.is_mark or here in taken or not 0 <= there < len(items):
                continue
            number = items[there]
            first, second = (item, number) if step > 0 else (number, item)
            if first.end != second.place or not _fits(item, number):
                continue
            claims = [items[mark] for mark, claimed in taken.items() if claimed == there]
            if all(_says_the_same(item, other) for other in claims):
                taken[here] = there
    return taken


def best_pairs(items: Sequence[Item]) -> tuple[tuple[Item, ...], Pairs]:
    """Return the items and the pairs in the order of writing that leaves least unexplained."""
    best: tuple[tuple[Item, ...], Pairs] = (tuple(items), {})
    best_score: tuple[int, int, int] | None = None
    for candidate in (merged(items), tuple(items)):
        first = next((item for item in candidate if item.is_mark or item.family in ("", *RATED)), None)
        preferred = first is not None and first.is_mark
        for order in (preferred, not preferred):
            pairs = pairs_in_order(candidate, mark_first=order)
            explained = sum(not candidate[number].family for number in set(pairs.values()))
            idle = sum(item.is_mark for item in candidate) - len(pairs)
            score = (explained, len(pairs) - idle, len(pairs))
            if best_score is None or score > best_score:
                best, best_score = (candidate, pairs), score
    return best


def mark_of_each(items: Sequence[Item], pairs: Pairs) -> dict[int, Item]:
    """Return the mark of every number that has one; of two, the one that says more."""
    found: dict[int, Item] = {}
    for mark, number in sorted(pairs.items()):
        before = found.get(number)
        if before is None or (before.mark and marks()[before.mark].generic):
            found[number] = items[mark]
    return found
