"""The report: Markdown, HTML and a picture per row of curves."""

from __future__ import annotations

import base64
import html
from collections.abc import Iterable, Sequence
from io import BytesIO
from pathlib import Path

from validation.checks import Check, Line, NotRun

TITLE = "brazeclock against published numbers"
FLAME = (
    "The flame is not validated: no measured heating curve of a steel ball or rod in a hand-torch "
    "flame was found. What follows checks properties, geometry, conduction, loads, gap and march."
)
HEADS = ("What", "Expected", "Ours", "Difference", "Allowed", "Result")
STYLE = """
body { font: 15px/1.45 sans-serif; margin: 2em auto; max-width: 78em; padding: 0 1em; }
table { border-collapse: collapse; margin: 1em 0; } caption { text-align: left; }
th, td { border: 1px solid #999; padding: .2em .5em; text-align: left; vertical-align: top; }
td.n { text-align: right; font-variant-numeric: tabular-nums; }
td.miss { background: #b00020; color: #fff; font-weight: bold; }
img { max-width: 46em; width: 100%; } td small { color: #444; }
"""


def summary(checks: Sequence[Check], left_out: Sequence[NotRun]) -> str:
    """One line: how many rows passed, missed and were not run."""
    passed = sum(check.passed for check in checks)
    return f"{passed} passed, {len(checks) - passed} missed, {len(left_out)} not run"


def write_report(folder: Path, checks: Sequence[Check], left_out: Sequence[NotRun]) -> None:
    """Write report.md, report.html and curves/*.png into a folder."""
    pictures = {check.row.id: picture(check) for check in checks if check.curves}
    curves = folder / "curves"
    curves.mkdir(parents=True, exist_ok=True)
    for key, data in pictures.items():
        (curves / f"{key}.png").write_bytes(data)
    (folder / "report.md").write_text(markdown(checks, left_out), encoding="utf-8")
    (folder / "report.html").write_text(page(checks, left_out, pictures), encoding="utf-8")


def picture(check: Check) -> bytes:
    """Expected numbers as marks, ours as lines, the differences below; PNG."""
    from matplotlib.figure import Figure

    axis = check.row.axis
    figure = Figure(figsize=(8, 5), layout="constrained")
    upper, lower = figure.subplots(2, 1, sharex=True, height_ratios=(3, 1))
    for i, curve in enumerate(check.curves):
        order, colour = curve.along.argsort(), f"C{i % 10}"
        along, got = curve.along[order], curve.got[order]
        upper.plot(along, got, "-" if i < 10 else "--", color=colour, label=curve.label)
        upper.plot(along, curve.expected[order], "o", color=colour, fillstyle="none")
        lower.plot(along, got - curve.expected[order], ".-", color=colour)
    upper.legend(fontsize="small")
    upper.set_title(f"{check.row.id}: lines ours, rings expected", fontsize="medium")
    units = {line.unit for line in check.lines}
    upper.set_ylabel(units.pop() if len(units) == 1 else "")
    lower.axhline(0.0, color="grey", linewidth=0.5)
    lower.set_ylabel("difference")
    lower.set_xlabel(f"{axis['name']} [{axis['unit']}]" if axis["unit"] else axis["name"])
    out = BytesIO()
    figure.savefig(out, format="png", dpi=80)
    return out.getvalue()


def markdown(checks: Sequence[Check], left_out: Sequence[NotRun]) -> str:
    """The report as Markdown."""
    parts = [f"# {TITLE}", f"**{summary(checks, left_out)}**", FLAME]
    for area, chosen in _by_area(checks):
        parts.append(f"## {area}")
        heads = ("Row", *HEADS[:-1], "Source", "Provenance", HEADS[-1])
        lines = [_cells(heads), "|" + " --- |" * len(heads)]
        for check in chosen:
            about = (check.row.source, check.row.provenance)
            for line in check.lines:
                told = _told(line)
                lines.append(_cells((check.row.id, *told[:-1], *about, told[-1])))
        parts.append("\n".join(lines))
        parts.append("\n".join(f"- **{c.row.id}** {_about(c)}" for c in chosen))
        parts += [
            f"![{c.row.id}, expected and ours](curves/{c.row.id}.png)" for c in chosen if c.curves
        ]
    parts.append("## Not run")
    rows = [_cells(("Row", "Area", "Source", "Why")), "| --- | --- | --- | --- |"]
    rows += [_cells((n.id, n.area, n.source, n.reason)) for n in left_out]
    return "\n\n".join([*parts, "\n".join(rows)]) + "\n"


def page(checks: Sequence[Check], left_out: Sequence[NotRun], pictures: dict[str, bytes]) -> str:
    """The report as one HTML file with its pictures inside."""
    parts = [f"<h1>{_e(TITLE)}</h1>", f"<p><b>{_e(summary(checks, left_out))}</b></p>"]
    parts.append(f"<p>{_e(FLAME)}</p>")
    for area, chosen in _by_area(checks):
        parts.append(f"<h2>{_e(area)}</h2><table><tr>")
        parts += [f"<th>{_e(head)}</th>" for head in ("Row", "Source", "Provenance", *HEADS)]
        parts.append("</tr>")
        for check in chosen:
            parts += _html_lines(check)
        parts.append("</table>")
        for check in chosen:
            if check.row.id in pictures:
                data = base64.b64encode(pictures[check.row.id]).decode("ascii")
                about = f"{check.row.id}: expected and ours"
                parts.append(f'<p><img alt="{_e(about)}" src="data:image/png;base64,{data}"></p>')
    parts.append("<h2>Not run</h2><table><tr><th>Row<th>Area<th>Source<th>Why</tr>")
    for n in left_out:
        cells = "".join(f"<td>{_e(text)}</td>" for text in (n.id, n.area, n.source, n.reason))
        parts.append(f"<tr>{cells}</tr>")
    parts.append("</table>")
    head = f'<meta charset="utf-8"><title>{_e(TITLE)}</title><style>{STYLE}</style>'
    body = "\n".join(parts)
    return f'<!doctype html>\n<html lang="en"><head>{head}</head><body>\n{body}\n</body></html>\n'


def _html_lines(check: Check) -> Iterable[str]:
    row, span = check.row, f' rowspan="{len(check.lines)}"'
    first = f"<td{span}><b>{_e(row.id)}</b> {_e(row.title)}<br><small>Ours: {_e(row.ours)}"
    first += "".join(f"<br>{_e(note)}" for note in (row.note, check.skipped) if note)
    first += f"</small></td><td{span}>{_e(row.source)}</td><td{span}>{_e(row.provenance)}</td>"
    for line in check.lines:
        what, *numbers, result = _told(line)
        cells = f"<td>{_e(what)}</td>" + "".join(f'<td class="n">{_e(n)}</td>' for n in numbers)
        yield f'<tr>{first}{cells}<td class="{result}">{result}</td></tr>'
        first = ""


def _told(line: Line) -> tuple[str, ...]:
    """A line's cells: what, expected, ours, difference, allowed, result."""
    what = f"{line.what} [{line.unit}]" if line.unit not in ("", "-") else line.what
    numbers = f"{line.expected:.9g}", f"{line.got:.9g}", f"{line.difference:+.2g}"
    return what, *numbers, line.tolerance, "pass" if line.passed else "miss"


def _about(check: Check) -> str:
    """A row's title, what of ours is checked, and notes, in one line."""
    row = check.row
    told = [f"{row.title}.", f"Ours: {row.ours}.", row.note, check.skipped]
    return " ".join(text for text in told if text).replace("|", "\\|")


def _by_area(checks: Sequence[Check]) -> list[tuple[str, list[Check]]]:
    """Checks by area, in the order of the areas' numbers and the rows' names."""
    areas = sorted({check.row.area for check in checks}, key=_number)
    ordered = sorted(checks, key=lambda check: check.row.id)
    return [(area, [c for c in ordered if c.row.area == area]) for area in areas]


def _number(area: str) -> int:
    return int(area.split()[0])


def _cells(texts: Iterable[str]) -> str:
    return "| " + " | ".join(text.replace("|", "\\|") for text in texts) + " |"


def _e(text: str) -> str:
    return html.escape(text)
