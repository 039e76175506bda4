"""The sheet on changing a battery as one page for a printer: no script, font or picture from outside."""

from __future__ import annotations

from html import escape

from sizing.advice.replacing import Sheet
from sizing.report.replacing_text import cautions, records, say, steps, vehicle_line

STYLE = """
:root { color-scheme: light; }
body { font: 16px/1.45 system-ui, sans-serif; color: #111; background: #fff; margin: 0 auto; padding: 1rem;
  max-width: 46rem; overflow-wrap: break-word; }
h1 { font-size: 1.6rem; margin: 0 0 .3rem; }
h2 { font-size: 1.15rem; margin: 1.2rem 0 .3rem; border-bottom: 1px solid #111; }
ul, ol { padding-left: 1.6rem; margin: .4rem 0; }
li { margin: .35rem 0; }
small { display: block; color: #444; }
.mind { border: 2px solid #111; padding: .1rem .8rem .3rem; }
.done::before { content: "\\2610\\00a0"; }
.line { border-bottom: 1px solid #888; min-height: 1.9rem; }
@media print {
  @page { margin: 15mm; }
  body { font-size: 10.5pt; max-width: none; padding: 0; }
  h2, li { break-after: avoid; break-inside: avoid; }
}
"""


def _items(lines: list[str], css: str = "") -> str:
    name = f' class="{css}"' if css else ""
    return "\n".join(f"<li{name}>{escape(line)}</li>" for line in lines)


def sheet_page(sheet: Sheet, *, demo: bool) -> str:
    """Return the sheet as a whole page of HTML."""
    work = "\n".join(
        f'<li><span class="done">{escape(step.do)}</span>'
        + (f"<small>{escape(say('reason', reason=step.reason))}</small>" if step.reason else "")
        + "</li>"
        for step in steps(sheet)
    )
    title, invented = escape(say("title")), f"<p><em>{escape(say('demo'))}</em></p>" if demo else ""
    return f"""<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>{STYLE}</style>
</head>
<body>
<h1>{title}</h1>
<p><strong>{escape(say("intro"))}</strong></p>
<p>{escape(vehicle_line(sheet))}</p>
{invented}
<section class="mind">
<h2>{escape(say("heading.cautions"))}</h2>
<ul>
{_items(cautions(sheet))}
</ul>
</section>
<h2>{escape(say("heading.steps"))}</h2>
<ol>
{work}
</ol>
<h2>{escape(say("heading.record"))}</h2>
<ul>
{_items(records(sheet), "line")}
</ul>
</body>
</html>
"""
