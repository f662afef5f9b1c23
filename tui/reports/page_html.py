"""The page as one HTML file that needs nothing else: no script, nothing fetched, every text escaped, fit for A4."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from tui import wording_card, wording_check
from tui.reports.page import Page, Result, StrandRow, TestRow

#: Nothing may be run or fetched, whatever came into the text.
POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"

STYLE = """
:root { --ink: #1f1a17; --quiet: #5c544d; --line: #c9c0b6; --soft: #f3eee7; }
* { box-sizing: border-box; }
body { font: 15px/1.45 Georgia, "Noto Serif", serif; color: var(--ink); background: #fff; margin: 2rem auto;
       max-width: 60rem; padding: 0 1.2rem; }
h1 { font-size: 1.5rem; margin: 0 0 .4rem; }
h2 { font-size: .82rem; letter-spacing: .06em; text-transform: uppercase; color: var(--quiet);
     margin: 1.2rem 0 .3rem; }
p, ul { margin: .3rem 0; }
ul { padding-left: 1.1rem; }
dl { display: flex; flex-wrap: wrap; gap: .2rem 1.6rem; margin: 0; }
dt { color: var(--quiet); } dd { margin: 0 0 0 .4rem; font-weight: bold; }
dl div { display: flex; }
.simulated { border: 2px dashed var(--ink); padding: .2rem .6rem; font-weight: bold; margin: .6rem 0; }
.headline { border-left: .5rem solid var(--ink); padding: .4rem .8rem; background: var(--soft); font-size: 1.2rem;
            font-weight: bold; margin: .8rem 0; }
.sides { display: grid; grid-template-columns: 3fr 2fr; gap: 0 2rem; }
.words { font-size: 1.1rem; font-weight: bold; }
table { border-collapse: collapse; width: 100%; font-size: .9em; }
th { text-align: left; font-weight: normal; color: var(--quiet); }
td, th { border-bottom: 1px solid var(--line); padding: .15rem .5rem .15rem 0; vertical-align: top; }
.aside td { color: var(--quiet); font-style: italic; }
.test { border-top: 1px solid var(--line); padding: .3rem 0; break-inside: avoid; }
.quiet, footer { color: var(--quiet); font-size: .85em; }
footer { border-top: 1px solid var(--line); margin-top: 1rem; padding-top: .4rem; overflow-wrap: anywhere; }
svg { width: 100%; height: auto; }
@media (max-width: 40rem) { .sides { grid-template-columns: 1fr; } }
@page { size: A4; margin: 12mm; }
@media print { html { font-size: 8.6pt; }
  body { margin: 0; padding: 0; max-width: none; font-size: 1rem; line-height: 1.25; }
  h2 { margin: .7rem 0 .1rem; } p, ul { margin: .15rem 0; } .headline { margin: .4rem 0; padding: .2rem .8rem; }
  .sides { grid-template-columns: 3fr 2fr; } svg { max-height: 11rem; } }
"""


def page_html(page: Page) -> str:
    """The whole file."""
    result = _result(page.result) if page.result else ""
    simulated = f'<p class="simulated">{escape(wording_check.SIMULATED_MARK)}</p>' if page.simulated else ""
    facts = "".join(f"<div><dt>{escape(name)}</dt><dd>{escape(text)}</dd></div>" for name, text in page.facts)
    return f"""<!DOCTYPE html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{escape(POLICY)}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{escape(page.title)}: {escape(page.facts[0][1])}</title>
<style>{STYLE}</style>
</head>
<body>
<header>
<h1>{escape(page.title)}</h1>
<dl>{facts}</dl>
{simulated}
<p class="headline">{escape(page.headline)}</p>
</header>
<div class="sides">
<main>{result or _open(page)}</main>
<aside>{_tests(page.tests)}{_open(page) if result else ""}</aside>
</div>
<section>{_list(wording_card.HEAD_CAUTIONS, page.cautions)}<p>{escape(page.deference)}</p></section>
<footer>{_footer(page)}</footer>
</body>
</html>
"""


def _result(result: Result) -> str:
    """The strength check: the set in words, the drawing, the strands, how sure, what it does not tell."""
    return "".join(
        (
            f'<p class="words">{escape(result.sign)} {escape(result.words)}</p>',
            _drawing(result),
            _list(wording_check.HEAD_MEASURED, result.measured),
            _list(wording_check.HEAD_SURE, result.sure),
            _list(wording_check.HEAD_NOT_TOLD, result.not_told),
            _strands(result.strands),
        )
    )


def _drawing(result: Result) -> str:
    if not result.marks:
        return ""
    from tui.reports.marks import marks_svg

    return f'{marks_svg(result)}<p class="quiet">{escape(wording_card.PAGE_LEGEND)}</p>'


def _strands(strands: Sequence[StrandRow]) -> str:
    heads = "".join(f"<th>{escape(head)}</th>" for head in wording_card.PAGE_STRAND_HEADS)
    rows = "".join(map(_strand, strands))
    return f"<h2>{escape(wording_check.HEAD_STRANDS)}</h2><table><tr>{heads}</tr>{rows}</table>"


def _strand(row: StrandRow) -> str:
    cells = (str(row.number), row.zone, row.figure, f"{row.sign} {row.words}")
    kind = "" if row.counts else ' class="aside"'
    return f"<tr{kind}>{''.join(f'<td>{escape(cell)}</td>' for cell in cells)}</tr>"


def _tests(tests: Iterable[TestRow]) -> str:
    return f"<h2>{escape(wording_card.HEAD_TESTS)}</h2>{''.join(map(_test, tests))}"


def _test(test: TestRow) -> str:
    lines = [f"{escape(test.sign)} <strong>{escape(test.name)}</strong>: {escape(test.state)}"]
    lines += [escape(test.outcome)] if test.outcome else []
    told = ", ".join(filter(None, (test.when, test.who)))
    lines += [f'<span class="quiet">{escape(told)}</span>'] if told else []
    lines += [
        f'<span class="quiet">{escape(wording_card.TEST_EARLIER.format(earlier=one))}</span>'
        for one in test.earlier
    ]
    return f'<div class="test">{"<br>".join(lines)}</div>'


def _open(page: Page) -> str:
    return _list(wording_card.HEAD_OPEN, page.points)


def _list(head: str, sentences: Iterable[str]) -> str:
    items = "".join(f"<li>{escape(sentence)}</li>" for sentence in sentences)
    return f"<h2>{escape(head)}</h2><ul>{items}</ul>" if items else ""


def _footer(page: Page) -> str:
    names = ", ".join(page.result.recordings) if page.result else ""
    where = f"{escape(wording_card.PAGE_WHERE.format(names=names))}<br>" if names else ""
    return f"{where}{escape(page.made)}"
