"""The page in its three forms: one A4 page, escaped, the same numbers, no word that lets a treatment go ahead."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

import tui.cautions
import tui.wording_card
import tui.wording_check
from analysis.results import PullResult
from tests.tui.check.samples import START, at, card, check, result
from tui.check.card import Card, record, start
from tui.check.course import MOST, set_aside, spread, with_pull
from tui.check.rules import Kind
from tui.reports.paper import Paper, paper_of, save_all

NASTY = '<script>alert("x")</script> & $\\frac{1}{2}$ [bold]漢字 🎨 \u202ex'

#: "safe" and what is made of it; "unsafe" would say that something else is.
SAFE = re.compile(r"\b(un)?safe(ly|ty)?\b", re.IGNORECASE)


def full_card(strands: int = 5, reference: str = "HK-204", history: str = "lightened twice") -> Card:
    one = card(reference, history)
    found = replace(check(strands, strands), planned=spread(("front hairline", "crown", "nape"), strands))
    found = set_aside(found, "it slipped in a clamp")
    found = with_pull(found, "/pulls/again.pull.csv", at(minutes=40))
    one = replace(one, check=found)
    one = start(one, Kind.SKIN, at(), "B7", "Colour 7/1")
    one = start(one, Kind.INCOMPATIBILITY, at(hours=1), "B7")
    one = record(one, Kind.INCOMPATIBILITY, "bubbling", at(hours=1, minutes=10), "C3")
    return record(one, Kind.POROSITY, "porous", at(hours=2), "C3")


def paper(one: Card, stretch_pct: float = 40.0) -> Paper:
    known: dict[str, PullResult] = {}
    for number, pull in enumerate(one.check.pulls if one.check else ()):
        known[pull.recording] = result(stretch_pct + number % 7, name=pull.recording)
    return paper_of(one, at(hours=3), known)


class Text(HTMLParser):
    """The text of a page, and its tags."""

    def __init__(self) -> None:
        super().__init__()
        self.text: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self._inside_style = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self._inside_style = tag == "style"

    def handle_endtag(self, tag: str) -> None:
        self._inside_style = False

    def handle_data(self, data: str) -> None:
        if not self._inside_style:
            self.text.append(data)


def html_of(one: Paper) -> Text:
    reader = Text()
    reader.feed(one.html().decode())
    return reader


def pdf_text(data: bytes, folder: Path) -> str:
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext (Debian: poppler-utils) is not installed")
    (folder / "page.pdf").write_bytes(data)
    done = subprocess.run(
        ["pdftotext", "-layout", folder / "page.pdf", "-"], capture_output=True, text=True, check=True
    )
    return done.stdout


def pages_of(data: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", data))


@pytest.mark.parametrize("strands", [1, 5, MOST])
def test_the_pdf_is_one_a4_page_however_many_strands_there_are(strands: int) -> None:
    data = paper(full_card(strands)).pdf()
    assert data.startswith(b"%PDF-")
    assert pages_of(data) == 1
    box = re.search(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)", data)
    assert box is not None
    # A4 is 210 mm by 297 mm (ISO 216); a point is 1/72 inch of 25.4 mm.
    assert float(box[1]) == pytest.approx(210 / 25.4 * 72, abs=0.5)
    assert float(box[2]) == pytest.approx(297 / 25.4 * 72, abs=0.5)


def test_everything_that_is_set_stands_on_the_paper() -> None:
    from tui.reports.page_pdf import _set
    from tui.reports.sheet import HEIGHT_PT, MARGIN_PT, WIDTH_PT, width_of

    history = "y" * 60
    one = full_card(MOST, "W" * 40, history)
    for number in range(12):
        one = record(one, Kind.POROSITY, "resistant", at(hours=2, minutes=number), "W" * 40)
    laid = _set(paper(one).page)
    assert laid.fits
    for column in (laid.top, laid.left, laid.right, laid.foot):
        for word in column.words:
            right = word.x_pt + width_of(word.text, word.size_pt, bold=word.bold)
            assert right <= WIDTH_PT - MARGIN_PT + 1
            assert MARGIN_PT <= word.y_pt <= HEIGHT_PT - MARGIN_PT


def test_the_three_forms_say_the_same(tmp_path: Path) -> None:
    one = paper(full_card())
    plain = json.loads(one.json())
    texts = (" ".join(" ".join(html_of(one).text).split()), " ".join(pdf_text(one.pdf(), tmp_path).split()))
    for text in texts:
        assert "HK-204" in text
        assert plain["headline"] in text
        assert "bubbl" in text
        assert "Colour 7/1" in text
    assert plain["check"]["summary"]["n"] == 5
    assert len(plain["check"]["strands"]) == 6
    assert plain["check"]["strands"][0]["result"]["elongation_at_break_pct"] == {"value": 40.0, "u": 0.5}
    assert plain["check"]["strands"][4]["set_aside"] == "it slipped in a clamp"
    skin = plain["tests"][-1]
    assert skin["readable_from"] == at(hours=24).isoformat()
    assert skin["expires"] == at(hours=48).isoformat()
    assert plain["do_not_proceed"] is True


def test_no_form_of_the_page_says_safe_whatever_was_found(tmp_path: Path) -> None:
    cards = [full_card(), card(), full_card(1)]
    good = record(card(), Kind.POROSITY, "good", START, "B7")
    for one in (*map(paper, [*cards, good]), paper(full_card(), 8.0)):
        for text in (" ".join(html_of(one).text), one.json().decode(), pdf_text(one.pdf(), tmp_path)):
            assert SAFE.search(text) is None, SAFE.search(text)
            assert "manufacturer" in text
            assert "licensed" in text


@pytest.mark.parametrize("module", [tui.wording_card, tui.wording_check])
def test_no_sentence_of_the_catalogue_says_safe(module: object) -> None:
    assert SAFE.search(json.dumps({k: v for k, v in vars(module).items() if k.isupper()})) is None


def test_what_people_typed_is_text_and_nothing_else(tmp_path: Path) -> None:
    one = paper(full_card(2, "HK-204 <b>&", NASTY))
    reader = html_of(one)
    tags = {tag for tag, _ in reader.tags}
    assert not tags & {"script", "b", "img", "iframe", "link", "object"}
    assert '<script>alert("x")</script>' in " ".join(reader.text)
    assert not [value for _, attrs in reader.tags for key, value in attrs.items() if key.startswith("on")]
    addresses = [
        v for _, attrs in reader.tags for k, v in attrs.items() if k in ("src", "href", "xlink:href") and v
    ]
    assert all(address.startswith("#") for address in addresses), "nothing is fetched"
    assert pages_of(one.pdf()) == 1
    assert "\u202e" not in one.html().decode()
    text = pdf_text(one.pdf(), tmp_path)
    assert "$\\frac{1}{2}$" in text, "not set as mathematics"


def test_the_html_prints_and_runs_nothing() -> None:
    text = paper(full_card()).html().decode()
    assert "@page { size: A4" in text
    assert "@media print" in text
    assert "default-src &#x27;none&#x27;" in text


def test_a_card_without_strands_needs_no_drawing_and_no_analysis(tmp_path: Path) -> None:
    one = paper(card())
    assert one.judged is None
    assert json.loads(one.json())["check"] is None
    assert pages_of(one.pdf()) == 1
    assert "not been started" in pdf_text(one.pdf(), tmp_path)


def test_simulated_strands_are_marked_on_every_form(tmp_path: Path) -> None:
    one = full_card(2)
    assert one.check is not None
    known = {pull.recording: replace(result(40.0), simulated=True) for pull in one.check.pulls}
    made = paper_of(one, at(hours=3), known)
    assert json.loads(made.json())["simulated"] is True
    assert "SIMULATED" in made.html().decode()
    assert "SIMULATED" in pdf_text(made.pdf(), tmp_path)


def test_saved_pages_never_replace_others_and_stay_in_their_folder(tmp_path: Path) -> None:
    one = paper(card("../../x 1"))
    paths = save_all(one, tmp_path / "cards")
    assert [path.suffix for path in paths] == [".pdf", ".html", ".json"]
    assert all(path.parent == tmp_path / "cards" and path.is_file() for path in paths)
    with pytest.raises(FileExistsError):
        save_all(one, tmp_path / "cards")
