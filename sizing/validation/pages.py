"""The pages ``docs/validation.md`` and ``docs/calibration.md``, written from what is computed here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby

import numpy as np

from sizing.physics.battery import battery_type
from sizing.tables import load, sources
from sizing.validation import SUBJECTS, Outcome, listed, outcomes
from sizing.validation.calibration import Residual, residuals_shape
from sizing.validation.calibration_ageing import residuals_ageing
from sizing.validation.calibration_charging import residuals_charging
from sizing.validation.calibration_climate import residuals_climate
from sizing.validation.calibration_cranking import residuals_friction, residuals_starters
from sizing.validation.calibration_electrolyte import residuals_electrolyte
from sizing.validation.calibration_life import residuals_life
from sizing.validation.calibration_standing import residuals_self_discharge
from sizing.validation.calibration_weather import residuals_weather
from sizing.validation.condition import study_lines

Cells = Sequence[str]
Entry = Mapping[str, str | float]
NOISE = 1e-9  # what is smaller is rounding and differs between machines
COUNTED = 3  # a relation with more targets than that, many times over, is summed up in one line

CHECKS_OF = "Published checks of "  # how the tables of checks begin their titles

VALIDATION_HEAD = """\
# Validation

Every check against a published value: what the source prints, what this program computes, and the tolerance
with its reason. The published tests write this page (`python -m pytest tests/published --write-docs`) and
fail when it is not what they would write; `sizing validate` prints the same. None of these values was
fitted to: what was is in [calibration](calibration.md), and a test listens that the two never meet.

*Status* says how the value is known: `read` in the document itself or a faithful reprint, `recalled` from
memory or quoted elsewhere, `derived` by algebra, `common-practice` a custom of the trade without a source.
An empty cell repeats the one above it.
"""

CALIBRATION_HEAD = """\
# Calibration

What each fitted constant was fitted to: target, fit and residual. None of these rows judges; what judges is
in [validation](validation.md), and a test listens that the two never meet. The published tests write this
page (`python -m pytest tests/published --write-docs`) and fail when it is not what they would write.
"""

BATTERY_TEXT = """\
Fitted by `scripts/fit_battery_shapes.py` (under two minutes; `--check` compares with the committed
constants): nine shape parameters each for flooded calcium and AGM. EFB and low-antimony share the shape of
flooded calcium with a wider spread until data say otherwise. *Scatter* is the source's own, by which the
residual is weighed; a fact that is read at several sizes or temperatures has the weight of one. Batteries
of 36 to 100 Ah with the amperes per ampere-hour usual for the type.
"""

KNOWN_TEXT = """\
Not all nine are known from the data. *Prior* is what was believed before, by textbooks and judgement, and
holds a parameter where the data are silent; *from data* is the share of the prior's variance that the data
took away (0 %: the prior alone set the value); *deviation* is what is left from both, in a straight line
around the fit; *tied to* is the parameter that moves with it most, with their correlation.

- Exchange voltage, activation slope and exchange energy are mostly prior: 25 A for an hour and the cold
  tests see little of how the activation loss divides, so another triple would fit nearly as well.
- Time and amount of the pores are nearly one direction (correlation near 1), and the pore exponent goes
  against both; it lies near its upper bound of 0.98. Only their sum over the measured times is known, not
  the single values.
- The two powers of mobility have no prior. For flooded batteries the fast one is known to about a third and
  the slow one hardly; for AGM, with few cold rows, neither is: their deviations exceed the values.

So these are names for a well-fitted curve inside the tests' currents and temperatures, not constants of a
material.
"""

FRICTION_TEXT = """\
Fitted by `scripts/fit_friction.py`: a scale of friction and a share of the compression peak for each fuel,
to one row of one rule of thumb. Two constants a fuel and one target: how breakaway divides (one third
steady friction, two thirds compression) is a textbook's own example, recalled. The residual is zero by
construction and proves nothing.
"""

STARTER_TEXT = """\
Fitted by `scripts/fit_starters.py` to the free, loaded and locked runs of three starters. Prints are
limits, so breaking one weighs five times as much as being better. Brush drop (1 V) and inner efficiency
(0.75) were fixed, as the limits alone push the efficiency below anything sensible; the saturation current
of starter J lies on its lower bound.
"""

CLIMATE_TEXT = """\
Fitted by `scripts/fit_extremes.py` to stations of the design tables: root mean square of the residuals by
relation. Temperatures in °C, deviations in K. Each relation was fitted to these stations alone; the world
file judges.
"""

SELF_DISCHARGE_TEXT = """\
Fitted by `scripts/fit_self_discharge.py` to one handbook's ten rows: a level by battery and one
factor per 10 K. They obey the factor 2 exactly, so nothing is left over; how far single batteries lie from it
is declared, not fitted.
"""
AGEING_TEXT = """\
Life on float goes with heat by a factor of two per 10 K, which is that of one starter row; its level is of
batteries on float and only shown beside ours. Cycles, scatter and the growth of resistance come from
`scripts/fit_ageing_shape.py`. The growth follows a table of our own judgement, so its residuals say how well
a power of the damage follows that table and nothing of batteries.
"""
WEATHER_TEXT = """\
Fitted by `scripts/fit_weather.py` to typical years of the places of use `fit`: what a generated day
adds within the day. The rest of the recipe is solved for each place from its own normals and design values.
"""
LIFE_TEXT = """\
Fitted by `scripts/fit_life.py` through the whole simulation of life: two numbers, rest and corrosion, in
`ageing_rates.csv`. Two numbers through three surveys that do not count the same thing leave some 12 %.
"""

CHARGING_TEXT = """\
The limits of a regulator are straight lines through the printed ones (`scripts/fit_regulator.py`). Acceptance
has its level from the standard test, at least so much, and its shape from an assumption.
"""

ELECTROLYTE_TEXT = """\
Fitted constants of the acid. Most relations carry published coefficients; these are where a choice was
left.
"""

ONLY_LISTED = """\
Lines of the tables of checks that are of use `fit`: they are not judged because a constant was fitted to
them, or says the same as one that was.
"""


def number(value: float) -> str:
    """Return a value with five significant digits, rounding noise as zero.

    >>> number(1234.5678), number(1e-15), number(float("nan"))
    ('1234.6', '0', 'nan')
    """
    return "0" if abs(value) < NOISE else f"{value:.5g}"


def fixed(value: float) -> str:
    """Return a value with two decimals, zero without a sign.

    >>> fixed(-0.004), fixed(1.456)
    ('0.00', '1.46')
    """
    return f"{value:z.2f}"


def table(head: Cells, rows: Iterable[Cells]) -> str:
    """Return a table in Markdown.

    >>> print(table(("a", "b"), [("1", "2")]), end="")
    | a | b |
    |---|---|
    | 1 | 2 |
    """
    lines = [head, *rows]
    text = ["| " + " | ".join(cell.replace("|", "\\|") for cell in line) + " |" for line in lines]
    return "\n".join([text[0], "|" + "---|" * len(head), *text[1:]]) + "\n"


def titled(keys: str) -> str:
    """Return author, title and year of each source of a cell.

    >>> titled("umino_newman_1997").endswith("1997")
    True
    """
    found = []
    for key in (part.strip() for part in keys.split(";")):
        source = sources().get(key)
        found.append(f"{source['author']}: {source['title']}, {source['year']}" if source else key)
    return "; ".join(found)


def validation_page() -> str:
    """Return the page of all checks, misses first."""
    by_subject = {subject: outcomes((subject,)) for subject in SUBJECTS}
    every = [outcome for found in by_subject.values() for outcome in found]
    missed = [outcome for outcome in every if not outcome.met]
    checks = len({outcome.id for outcome in every})
    text = [VALIDATION_HEAD]
    text.append(
        f"{checks} checks at {len(every)} points; {len({o.id for o in missed})} checks are missed at "
        f"{len(missed)} points.\n"
    )
    text.append("## Not met\n\n" + _misses(missed))
    text.extend(f"## {_heading(subject)}\n\n{_outcomes(found)}" for subject, found in by_subject.items())
    text.append("## A battery in hand: answers on simulated batteries\n\n" + "\n".join(study_lines()) + "\n")
    return "\n".join(text)


def _heading(subject: str) -> str:
    title = load(f"checks_{subject}").header["title"].removeprefix(CHECKS_OF)
    return title[0].upper() + title[1:]


def _printed(published: str | float) -> str:
    return published if isinstance(published, str) else number(published)


def _misses(missed: Iterable[Outcome]) -> str:
    lines = [
        (o.id, f"{o.quantity}: {o.conditions}", _printed(o.published), number(o.ours), o.miss_reason)
        for o in missed
    ]
    return table(("check", "quantity", "published", "ours", "reason"), _without_repeats(lines, (0, 4)))


def _outcomes(found: Iterable[Outcome]) -> str:
    lines = [
        (
            o.id,
            o.quantity,
            o.conditions,
            _printed(o.published),
            number(o.ours),
            o.tolerance,
            "yes" if o.met else "**no**",
            titled(o.source),
            o.status,
        )
        for o in found
    ]
    head = ("check", "quantity", "conditions", "published", "ours", "tolerance", "met", "source", "status")
    return table(head, _without_repeats(lines, (0, 1, 5, 7, 8)))


def _without_repeats(lines: Iterable[Cells], columns: Sequence[int]) -> Iterable[Cells]:
    """Yield lines, blanking what a line of the same first cell says again."""
    for _, group in groupby(lines, key=lambda line: line[0]):
        for place, line in enumerate(group):
            yield ["" if place and column in columns else cell for column, cell in enumerate(line)]


def calibration_page(known: Mapping[str, Sequence[Entry]]) -> str:
    """Return the page of all fits; ``known`` is what the fit of shapes says of each parameter, by shape."""
    text = [CALIBRATION_HEAD, "## Battery shapes\n", BATTERY_TEXT]
    for shape in known:
        text += [f"### Targets of {shape}\n", _residuals(residuals_shape(shape, battery_type(shape).shape))]
    text += ["### What the data say of each parameter\n", KNOWN_TEXT, _known(known)]
    text += ["## Friction and breakaway\n", FRICTION_TEXT, _entries(residuals_friction())]
    text += ["## Starters\n", STARTER_TEXT, _entries(residuals_starters())]
    text += ["## Cold and hot extremes of a place\n", CLIMATE_TEXT, _summed(residuals_climate())]
    text += ["## Weather generator\n", WEATHER_TEXT, _summed(residuals_weather())]
    text += ["## Acid\n", ELECTROLYTE_TEXT, _entries_or_summed(residuals_electrolyte())]
    text += ["## Charging\n", CHARGING_TEXT, _entries(residuals_charging())]
    text += ["## Self-discharge\n", SELF_DISCHARGE_TEXT, _residuals(residuals_self_discharge())]
    text += ["## Wear\n", AGEING_TEXT, _residuals(residuals_ageing())]
    text += ["## Lives in the field\n", LIFE_TEXT, _residuals(residuals_life())]
    text += ["## Listed, not judged\n", ONLY_LISTED, _listed()]
    return "\n".join(text)


def _residuals(found: Iterable[Residual]) -> str:
    head = ("quantity", "conditions", "target", "fit", "residual", "scatter", "source")
    return table(
        head,
        [
            (
                r.quantity,
                r.conditions,
                number(r.target),
                f"{r.ours:.4g}",
                f"{r.ours - r.target:.2g}",
                f"{r.scale:.2g}",
                titled(r.source),
            )
            for r in found
        ],
    )


def _known(known: Mapping[str, Sequence[Entry]]) -> str:
    lines = []
    for shape, parameters in known.items():
        for p in parameters:
            width, share = float(p["deviation"]), float(p["from_data"])
            left = f"factor {np.exp(width):.2g}" if p["logarithmic"] == "relative" else f"{width:.2g}"
            told = "" if np.isnan(share) else f"{100.0 * share:.0f} %"
            value = f"{float(p['value']):.3g}"
            tied = f"{p['tied_to']}, {float(p['correlation']):.2f}"
            lines.append(
                (shape, str(p["parameter"]), value, str(p["unit"]), str(p["prior"]), left, told, tied)
            )
    return table(("shape", "parameter", "value", "unit", "prior", "deviation", "from data", "tied to"), lines)


def _entries(found: Iterable[Entry]) -> str:
    head = ("quantity", "conditions", "target", "fit", "residual", "source")
    return table(
        head,
        [
            (
                str(e["quantity"]),
                str(e["conditions"]),
                number(float(e["target"])),
                f"{float(e['ours']):.4g}",
                fixed(float(e["residual"])),
                titled(str(e["source"])),
            )
            for e in found
        ],
    )


def _summed(found: Sequence[Entry]) -> str:
    """Return one line a relation: number of targets, root mean square and largest residual."""
    lines = []
    for quantity in dict.fromkeys(str(e["quantity"]) for e in found):
        own = [e for e in found if e["quantity"] == quantity]
        left = np.array([float(e["residual"]) for e in own])
        worst = own[int(np.argmax(np.abs(left)))]
        keys = "; ".join(dict.fromkeys(titled(str(e["source"])) for e in own))
        rms = float(np.sqrt(np.mean(left**2)))
        lines.append(
            (
                quantity,
                str(len(own)),
                f"{rms:.2f}",
                f"{float(worst['residual']):.2f}, {worst['conditions']}",
                keys,
            )
        )
    return table(("relation", "targets", "root mean square", "largest residual", "source"), lines)


def _entries_or_summed(found: Sequence[Entry]) -> str:
    count = {str(e["quantity"]): sum(1 for x in found if x["quantity"] == e["quantity"]) for e in found}
    few = [e for e in found if count[str(e["quantity"])] <= COUNTED]
    many = [e for e in found if count[str(e["quantity"])] > COUNTED]
    return (_entries(few) + "\n" if few else "") + (_summed(many) if many else "")


def _listed() -> str:
    lines = [
        (row["id"], row["quantity"], row["conditions"], row["reason"], titled(row["source"]))
        for row in listed("fit")
    ]
    return table(("line", "quantity", "conditions", "why", "source"), lines)
