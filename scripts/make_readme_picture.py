"""Draw the first chart of the page for the bundled demonstration into docs/pictures/recommend.svg."""

from __future__ import annotations

from pathlib import Path

import vl_convert

from sizing.advice.pictures import at_the_posts
from sizing.advice.recommend import recommend
from sizing.inputs import demo_scenario
from sizing.report.figures import posts_figure

PICTURE = Path(__file__).parents[1] / "docs" / "pictures" / "recommend.svg"


def picture() -> str:
    """Return the chart as SVG, on white so that it can be read on a dark page too."""
    answer = recommend(demo_scenario())
    numbers = at_the_posts(answer.scenario, answer.minimum.cold_cranking.value)
    chart = posts_figure(numbers, answer).chart.properties(background="white", padding=12)
    return str(vl_convert.vegalite_to_svg(chart.to_dict()))


def main() -> None:
    """Write the picture."""
    PICTURE.parent.mkdir(parents=True, exist_ok=True)
    PICTURE.write_text(picture(), encoding="utf-8")
    print(f"written: {PICTURE.relative_to(PICTURE.parents[2])}")


if __name__ == "__main__":
    main()
