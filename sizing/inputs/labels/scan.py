"""A label line cut into pieces: numbers, known words, codes, and what is none of them."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from sizing.inputs.labels.lexicon import Code, Word, codes, word_pattern, words
from sizing.units import DECIMAL_COMMA, MINUS_SIGNS

LONGEST_LINE = 200  # characters of a label line
NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)?", re.ASCII)
PLAIN_NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?", re.ASCII)
# between pieces; letters and digits are never among them
BETWEEN = " \t()[]{}<>=:,;/|+-_*·•\"'.!?&#~®™"
DIGITS = "0123456789"


@dataclass(frozen=True)
class Piece:
    """One piece of a line.

    kind : number, unknown, code, or the kind of a word [-]
    text : as it stands in the line [-]
    start, end : where [-]
    meaning : what a word stands for [-]
    value : of a number, NaN for others [-]
    word : known, or none [-]
    code : with its match, or none [-]
    """

    kind: str
    text: str
    start: int
    end: int
    meaning: str = ""
    value: float = float("nan")
    word: Word | None = None
    code: tuple[Code, re.Match[str]] | None = None


def tidy(line: str) -> str:
    """Return a line with one way of writing each sign; digits of other scripts stay what they are.

    >>> tidy("７０Ａｈ  −18 ℃")
    '70Ah -18 °C'
    """
    text = unicodedata.normalize("NFKC", line.replace("º", "°").replace("˚", "°")).translate(MINUS_SIGNS)
    return " ".join(text.split())


def number_of(text: str) -> float | None:
    """Return a number with a decimal point or comma; none where the comma may part thousands.

    >>> number_of("70,5"), number_of("1,000"), number_of("12")
    (70.5, None, 12.0)
    """
    if PLAIN_NUMBER.fullmatch(text):
        return float(text)
    return float(text.replace(",", ".")) if DECIMAL_COMMA.fullmatch(text) else None


def _joined(letter: str) -> bool:
    return letter.isalpha() or letter in DIGITS or unicodedata.category(letter).startswith(("M", "N"))


def _ends(line: str, end: int, text: str) -> bool:
    """Tell whether a word that ends there is whole: no letter follows, and no digit behind a digit."""
    if end >= len(line):
        return True
    after = line[end]
    if not _joined(after):
        return True
    return after in DIGITS and text[-1] not in DIGITS


def _code(line: str, start: int) -> Piece | None:
    for code in codes():
        found = code.pattern.match(line, start)
        if found and (found.end() >= len(line) or not _joined(line[found.end()])):
            # "540.5" or "12,5" is a number, not a code with a point behind it
            if re.match(r"[.,][0-9]", line[found.end() :]) and found.group()[-1] in DIGITS:
                continue
            return Piece("code", found.group(), start, found.end(), code.name, code=(code, found))
    return None


def _word_at(line: str, start: int, stop: int | None = None) -> Piece | None:
    found = word_pattern().match(line, start, len(line) if stop is None else stop)
    if found is None:
        return None
    text = found.group()
    word = words().get(text.casefold()) or words().get(re.sub(r"\s+", " ", text.casefold()))
    if word is None:
        spaceless = {key.replace(" ", ""): value for key, value in words().items()}
        word = spaceless[text.casefold().replace(" ", "")]
    if word.capitals and text != text.upper():
        return None
    return Piece(word.kind, text, start, found.end(), word.meaning, word=word)


def _word(line: str, start: int) -> list[Piece]:
    """Return the longest whole word that begins there, or a unit with a mark glued to it."""
    stop = len(line)
    while stop > start:
        piece = _word_at(line, start, stop)
        if piece is None:
            return []
        if _ends(line, piece.end, piece.text):
            return [piece]
        rest = _word_at(line, piece.end)
        glued = piece.kind == "unit" and " " not in piece.text and rest is not None and rest.kind == "mark"
        if glued and rest is not None and _ends(line, rest.end, rest.text):
            return [piece, rest]
        stop = piece.end - 1
    return []


def _number(line: str, start: int) -> Piece | None:
    found = NUMBER.match(line, start)
    if found is None:
        return None
    end, text = found.end(), found.group()
    value = number_of(text)
    follows = line[end : end + 1]
    if value is None or (re.match(r"[.,'][0-9]", line[end:])):
        return None
    if follows and _joined(follows) and not _word(line, end):
        return None
    return Piece("number", text, start, end, value=value)


def _unknown(line: str, start: int) -> Piece:
    end = start + 1
    while end < len(line) and (_joined(line[end]) or re.match(r"[.,'][0-9]", line[end:])):
        end += 1
    return Piece("unknown", line[start:end], start, end)


def scan(line: str) -> tuple[Piece, ...]:
    """Return the pieces of a tidied line, in order.

    >>> [(piece.kind, piece.text) for piece in scan("12V 60Ah L2 foo")][-3:]
    [('unit', 'Ah'), ('code', 'L2'), ('unknown', 'foo')]
    """
    pieces: list[Piece] = []
    place = 0
    while place < len(line):
        if line[place] in BETWEEN:
            place += 1
            continue
        fresh = place == 0 or not _joined(line[place - 1])
        words_here = _word(line, place)
        marked = any(piece.kind == "mark" for piece in words_here)
        # K20 is a mark, though it is written like a stop-start type
        code = _code(line, place) if fresh and not marked else None
        number = _number(line, place)
        found = [code] if code else [number] if number else words_here
        pieces += found or [_unknown(line, place)]
        place = pieces[-1].end
    return tuple(pieces)
