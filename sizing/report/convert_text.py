"""A converted label in sentences, rows of a table and one object: what it was taken for, what it means."""

from __future__ import annotations

import math
from typing import Any

from sizing.advice.convert import Conversion
from sizing.advice.label_points import Compared, Converted, Interval
from sizing.advice.published import Rule
from sizing.advice.size_codes import hint_of_steps
from sizing.tables import load

DEMO_LINE = "12V 60Ah 540A(EN) L2"
DEMO = f'The label "{DEMO_LINE}" is invented; type your own.'
STEPS = {"A": 5.0, "min": 1.0, "Ah": 1.0}  # shown to the nearest; an interval is far wider
SMALL = {"A": 100.0, "Ah": 20.0}  # below it shown finer
FINE = {"A": 1.0, "Ah": 0.1}
NO_RULE = "no published rule is held"
BELOW = "never above level 1; how far below is not published"
FIRST_ROWS = ("sae", "en1", "din", "ca", "rc_sae", "c20")
INTRODUCED = {"label": "The label as it was understood:", "guesses": "Guessed:", "help": "What would help:"}


def shown(value: float, unit: str) -> str:
    """Return a rating to the nearest step, with its unit.

    >>> shown(548.3, "A"), shown(98.4, "min"), shown(7.24, "Ah")
    ('550 A', '98 min', '7.2 Ah')
    """
    return f"{_rounded(value, unit):g} {unit}"


def _rounded(value: float, unit: str) -> float:
    fine = value < SMALL.get(unit, 0.0)
    step = FINE[unit] if fine else STEPS[unit]
    return round(math.floor(value / step + 0.5) * step, 1)


def span(interval: Interval, unit: str) -> str:
    """Return an interval in words; empty where it has no width.

    >>> span(Interval(550.0, 507.0, 598.0), "A"), span(Interval(60.0, 60.0, 60.0), "Ah")
    ('505 to 600 A', '')
    """
    if interval.high - interval.low <= 1e-3 * interval.value:
        return ""
    return f"{_rounded(interval.low, unit):g} to {shown(interval.high, unit)}"


def _printed(rating: Converted) -> str:
    return f"{rating.interval.value:.4g} {rating.unit}"


def _named(rating: Converted) -> str:
    value = _printed(rating) if rating.printed else shown(rating.interval.value, rating.unit)
    return f"{value} ({rating.mark})" if rating.unit == "A" else value


def _list(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def start_of(found: Conversion) -> str:
    """Return what the label prints, in words."""
    label = found.label
    words = [_named(rating) for rating in found.ratings if rating.printed]
    if label.cold_cranking is not None and not label.cold_test:
        words.insert(0, f"{label.cold_cranking:g} A (standard not known)")
    other = label.cold_test and not any(rating.test == label.cold_test for rating in found.ratings)
    if label.cold_cranking is not None and other:
        words.insert(0, f"{label.cold_cranking:g} A ({label.standard})")
    if words:
        return _list(words)
    return found.reading.line if found.reading is not None else "This label"


def answer_sentence(found: Conversion) -> str:
    """Return the answer in one sentence.

    >>> from sizing.advice.convert import convert
    >>> answer_sentence(convert("12V 60Ah 540A(EN) L2")).partition(" about ")[0]
    '540 A (EN) and 60 Ah mean'
    """
    wanted = [found.rating(key) for key in FIRST_ROWS if not found.rating(key).printed]
    words = [_named(rating) + (" of reserve" if rating.unit == "min" else "") for rating in wanted]
    printed = start_of(found)
    return f"{printed} mean{'' if ' and ' in printed else 's'} about {_list(words)}."


def understood_lines(found: Conversion) -> list[str]:
    """Return what each part of the line was taken for."""
    if found.reading is None:
        return []
    return [f'"{part.text}": {part.taken_for}' for part in found.reading.parts]


def guess_lines(found: Conversion) -> list[str]:
    """Return what was guessed, in sentences."""
    lines = list(found.guesses)
    if found.meant:
        names = {row["test"]: row["mark"] for row in load("convert_targets").rows}
        ranked = sorted(found.meant.items(), key=lambda item: -item[1])
        words = [f"{names[test]} {_share(share)}" for test, share in ranked if share >= 0.005]
        lines.append(f"What the amperes may be: {_list(words)}; EN here stands for SAE and JIS too.")
    return lines


def _share(share: float) -> str:
    return f"{min(100.0 * share, 99.0):.0f} in 100"


def compared_line(each: Compared) -> str:
    """Return a second printed rating set against the first ones, in a sentence."""
    ours = f"{shown(each.ours.value, each.unit)}, {span(each.ours, each.unit)}"
    if each.agrees:
        return f'"{each.text}" agrees with the rest of the label ({ours}).'
    return (
        f'"{each.text}" does not agree with the rest of the label, which means {ours}: '
        "different standards, another type of battery or a slip are possible."
    )


def help_lines(found: Conversion) -> list[str]:
    """Return what would narrow the intervals, and what to mind."""
    label, lines = found.label, []
    if label.cold_cranking is not None and not label.cold_test:
        lines.append("Look for letters beside the amperes: EN, SAE, DIN, JIS, CA. They narrow every row.")
    if label.cold_cranking is None:
        lines.append(
            "Look for cold-cranking amps: without them they are only what usually goes with the rest."
        )
    if label.capacity_ah is None and label.reserve_minutes is None:
        lines.append("Look for Ah, or for minutes of reserve (RC).")
    if label.type == "unknown":
        lines.append("Say the type (AGM, EFB, flooded calcium): tests rank types differently.")
    lines.append("Compare with what the vehicle's manual asks for, in the standard that it names.")
    return lines


def rule_text(rule: Rule, unit: str) -> str:
    """Return a published rule worked out, with its source."""
    value = shown(rule.low, unit)
    if rule.high - rule.low > 1e-3 * rule.high:
        value = f"{_rounded(rule.low, unit):g} to {shown(rule.high, unit)}"
    return f"{value} by {rule.words} [{rule.source}, {rule.status}]"


def rules_text(rating: Converted, printed: frozenset[str]) -> str:
    """Return the first published rule beside a rating; all of them stand in the object."""
    if rating.printed:
        return "printed"
    if rating.rules:
        rule = rating.rules[0]
        more = f"; {len(rating.rules) - 1} more" if len(rating.rules) > 1 else ""
        return rule_text(rule, rating.unit) + ("" if rule.basis in printed else ", from our figure") + more
    return BELOW if rating.key == "en2" else NO_RULE


def rating_rows(found: Conversion) -> list[dict[str, str]]:
    """Return one row a rating: what, value, interval, published rule."""
    printed = frozenset(rating.test for rating in found.ratings if rating.printed) | {found.label.cold_test}
    return [
        {
            "Rating": rating.words,
            "Value": _printed(rating) if rating.printed else shown(rating.interval.value, rating.unit),
            "90 % interval": span(rating.interval, rating.unit),
            "Published rule": rules_text(rating, printed),
        }
        for rating in found.ratings
    ]


def code_rows(found: Conversion) -> list[dict[str, str]]:
    """Return one row a kind of code."""
    rows = []
    for code in found.codes:
        fits = ", ".join(code.codes) or "none listed"
        status = "printed" if code.printed else "a proposal"
        rows.append(
            {"Code": code.words, "Fits": fits, "Status": status, "Found by": f"{code.rule} [{code.source}]"}
        )
    return rows


def code_sentences(found: Conversion) -> list[str]:
    """Return what to mind about codes: the rank before steps, and the step of European amperes."""
    rank, amperes = found.rank, found.rating("en1").interval.value
    lines = [
        f"Performance rank before steps: {rank.value:.0f} ({rank.low:.0f} to {rank.high:.0f});"
        " a type may carry a lower one, since a rank is a floor."
    ]
    step = hint_of_steps(amperes)
    if abs(step - amperes) > 0.5:
        lines.append(
            f"Nearest preferred step of European amperes: {step:.0f} A; many labels are off the steps."
        )
    return lines


def plain_lines(found: Conversion, *, demo: bool = False) -> list[str]:
    """Return the whole answer line by line, the answer's sentence first."""
    lines = [answer_sentence(found)]
    lines += ["", DEMO] if demo else []
    for key, told in (("label", understood_lines(found)), ("guesses", guess_lines(found))):
        if told:
            lines += ["", INTRODUCED[key], *(f"  - {line}" for line in told)]
    if found.compared:
        lines += ["", "Also printed:", *(f"  - {compared_line(each)}" for each in found.compared)]
    lines += ["", *_table(rating_rows(found)), "", *_table(code_rows(found))]
    lines += [f"  - {line}" for line in code_sentences(found)]
    lines += ["", INTRODUCED["help"], *(f"  - {line}" for line in help_lines(found))]
    return lines


def _table(rows: list[dict[str, str]]) -> list[str]:
    """Return rows as text in columns; the last column is as long as it needs to be."""
    heads = list(rows[0])
    widths = [max(len(head), *(len(row[head]) for row in rows)) for head in heads[:-1]] + [0]
    every = [dict(zip(heads, heads, strict=True)), *rows]
    return [
        "  ".join(f"{row[head]:<{width}}" for head, width in zip(heads, widths, strict=True)).rstrip()
        for row in every
    ]


def conversion_object(found: Conversion, *, demo: bool = False) -> dict[str, Any]:
    """Return the whole answer as one object for scripts."""
    reading = found.reading
    return {
        "answer": answer_sentence(found),
        "demo": DEMO if demo else "",
        "label": reading.line if reading is not None else "",
        "understood": [
            {"text": part.text, "taken_for": part.taken_for, "understood": part.understood}
            for part in (reading.parts if reading is not None else ())
        ],
        "not_understood": list(reading.unread) if reading is not None else [],
        "guessed": guess_lines(found),
        "type": found.battery_type,
        "estimated": list(found.estimated),
        "standard_probabilities": {test: round(share, 4) for test, share in found.meant.items()},
        "ratings": {rating.key: _rating_object(rating) for rating in found.ratings},
        "performance_rank": _interval_object(found.rank),
        "codes": {
            code.key: {"fits": list(code.codes), "printed": code.printed, "source": code.source}
            for code in found.codes
        },
        "compared": [
            {
                "text": each.text, "printed": each.printed, "unit": each.unit,
                **_interval_object(each.ours), "agrees": each.agrees,
            }
            for each in found.compared
        ],
        "help": help_lines(found),
    }  # fmt: skip


def _interval_object(interval: Interval) -> dict[str, float]:
    return {name: round(getattr(interval, name), 2) for name in ("value", "low", "high")}


def _rating_object(rating: Converted) -> dict[str, Any]:
    return {
        "words": rating.words,
        "mark": rating.mark,
        "test": rating.test,
        "unit": rating.unit,
        **_interval_object(rating.interval),
        "printed": rating.printed,
        "rules": [
            {
                "rule": rule.words, "low": round(rule.low, 2), "high": round(rule.high, 2),
                "from": rule.basis, "source": rule.source, "status": rule.status, "note": rule.note,
            }
            for rule in rating.rules
        ],
    }  # fmt: skip
