"""Our side of the published checks of offers."""

from __future__ import annotations

from collections.abc import Iterable

from sizing.simulate.warranty import Sale, Warranty, credit
from sizing.tables import Row, load
from sizing.validation import Point, check, within


@check("P01")
def _credit(row: Row) -> Iterable[Point]:
    for printed in load("practice_warranty_worked").select("check"):
        sale = Sale(float(printed["paid"]), Warranty(0.0, float(printed["total_months"])))
        ours = float(credit(float(printed["month"]), sale))
        yield within(row, f"month {printed['month']}", float(printed["credit"]), ours)
