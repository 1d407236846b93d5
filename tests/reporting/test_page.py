"""The page in a real browser: what a reader can do with it, and what a hostile list cannot."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from datetime import date
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from openpyxl import Workbook
from stock_reports import ROWS, long_list, report_of

from tallyhook import check
from tallyhook.model.finding import SEVERITIES
from tallyhook.reporting.decisions import apply_decisions
from tallyhook.reporting.page import MOST_FINDINGS, page_html
from tallyhook.reporting.points import usual_ratios
from tallyhook.reporting.report import Report
from tallyhook.reporting.since import since

HOSTILE = (
    "<script>window.hacked = 1</script>", "</script><script>window.hacked = 2</script>",
    "<img src=x onerror='window.hacked = 3'>", '" onmouseover="window.hacked = 4', "{{ 7 * 7 }}{% raw %}",
    "=HYPERLINK(\"http://x.example\")", "javascript:window.hacked=5", "\u2028<!--", "]]><svg onload=window.hacked=6>",
)  # fmt: skip


# --- without a browser


class _Shape(HTMLParser):
    """What a page would load, run or link to."""

    def __init__(self) -> None:
        super().__init__()
        self.scripts = 0
        self.handlers: list[str] = []
        self.loads: list[str] = []
        self.captions = self.tables = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        self.scripts += tag == "script"
        self.tables += tag == "table"
        self.captions += tag == "caption"
        self.handlers += [name for name in named if name.startswith("on")]
        if tag in ("link", "script", "img", "iframe", "object", "embed"):
            self.loads += [str(named[n]) for n in ("src", "href", "data") if named.get(n)]


def _shape(html: str) -> _Shape:
    shape = _Shape()
    shape.feed(html)
    return shape


def _hostile() -> Report:
    rows = [
        ROWS[n % 6] | {"part": text, "item": text, "supplier": text}
        for n, text in enumerate(HOSTILE * 2)
    ]
    rows += [
        ROWS[3] | {"part": text, "item": text, "lb": 20_000 + 137 * n}
        for n, text in enumerate(HOSTILE)
    ]
    return report_of(rows, file="<script>window.hacked = 9</script>.csv", sheet="<b>sheet</b>")


def test_the_page_loads_nothing_and_has_no_handlers() -> None:
    for report in (report_of(), _hostile()):
        shape = _shape(page_html(report))
        assert shape.loads == ["data:,"] and shape.handlers == []
        assert shape.scripts == 6  # four blocks of data, the library, the page's own
        assert shape.captions == shape.tables > 4


def test_the_policy_names_the_scripts_and_nothing_else() -> None:
    policy = re.search(
        r'http-equiv="Content-Security-Policy" content="([^"]+)"', page_html(report_of())
    )
    assert policy is not None
    rules = dict(part.strip().split(" ", 1) for part in policy[1].split(";"))
    assert rules["default-src"] == "'none'"
    assert all(source.startswith("'sha256-") for source in rules["script-src"].split())
    assert "connect-src" not in rules  # default-src governs it


def test_the_page_says_what_was_checked_and_counts_it() -> None:
    report = report_of()
    text = re.sub(r"<[^>]+>", " ", page_html(report).split("<main>")[0])
    for name, version in report.packages.items():
        assert f"{name}&nbsp;{version}" in text
    assert "qualified person" in text  # the caution
    for words in (r"4\s+agree", r"2\s+contradicted", r"1\s+not compared"):
        assert re.search(words, text), words


def test_an_incomplete_report_says_so() -> None:
    import dataclasses

    assert "some-rule" in page_html(
        dataclasses.replace(report_of(), crashed={"some-rule": "ValueError: x"})
    )


def test_a_list_without_anything_to_draw_still_gives_a_page() -> None:
    html = page_html(report_of([ROWS[5]]))
    assert "nothing to draw" in html and "No finding." in html


def test_items_that_a_long_list_leaves_out_are_announced(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tallyhook.reporting.report.LONG_LIST", 3)
    html = page_html(report_of())
    assert "The 6 compared items" in html and "4 items that agree are not drawn" in html
    assert 'data-points="2"' in html


def test_the_usual_ratios_are_those_of_the_units_and_documents() -> None:
    found = dict(usual_ratios())
    # exact by definition: 1 lb = 0.45359237 kg, 1 short ton = 2,000 lb, 1 kgf = 9.80665 N (NIST SP 811, appendix B)
    for ratio in (
        1 / 0.45359237,
        0.45359237,
        1000 / 907.18474,
        907.18474 / 1000,
        9.80665,
        1 / 9.80665,
    ):
        assert any(known == pytest.approx(ratio, rel=1e-3) for known in found), ratio
    # a fifth (one technical page) and a quarter (AS 3775.2) less without a cradle
    assert {0.8, 0.75, 1.25, 1.3333} <= set(found)
    # ASTM A413/A391: breaking force 4 times the rating, 3 for grade 43; EN 818-2: proof force 2.5 times
    assert (
        "breaking force" in found[4.0]
        and "breaking force" in found[3.0]
        and "proof force" in found[2.5]
    )


# --- in a browser


class Seen:
    """An opened page, and everything it said and asked for."""

    def __init__(self, browser: Any, path: Path, width: int = 1280, **options: Any) -> None:
        context = browser.new_context(
            viewport={"width": width, "height": 900}, reduced_motion="reduce", **options
        )
        self.page = context.new_page()
        self.said: list[str] = []
        self.asked: list[str] = []
        self.page.on("console", lambda m: self.said.append(f"{m.type}: {m.text}"))
        self.page.on("pageerror", lambda e: self.said.append(f"error: {e}"))
        self.page.on("request", lambda r: self.asked.append(r.url))
        self.page.on("dialog", lambda d: self.said.append(f"dialog: {d.message}"))
        started = time.monotonic()
        self.page.goto(path.as_uri())
        self.page.wait_for_selector("#picture-ratios[data-points]", timeout=60_000)
        self.opened_s = time.monotonic() - started

    def troubles(self) -> list[str]:
        return [text for text in self.said if text.startswith(("error", "warning", "dialog"))]

    def shown(self) -> list[int]:
        return list(
            self.page.evaluate(
                "[...document.querySelectorAll('#findings-table tbody.finding:not([hidden])')].map(b => Number(b.dataset.row))"
            )
        )


@pytest.fixture
def opened(browser: Any, tmp_path: Path) -> Iterator[Any]:
    seen: list[Seen] = []

    def open_page(report: Report, **options: Any) -> Seen:
        path = tmp_path / "page.html"
        path.write_text(page_html(report), encoding="utf-8")
        seen.append(Seen(browser, path, **options))
        return seen[-1]

    yield open_page
    for each in seen:
        assert each.troubles() == []
        assert all(url.startswith(("file://", "data:", "blob:")) for url in each.asked)
        assert sum(url.startswith("file://") for url in each.asked) == 1
        each.page.context.close()


def _drawn(seen: Seen, name: str, x: str, y: str) -> dict[str, list[list[float]]]:
    """The points of a picture as the browser holds them, by group."""
    found: dict[str, list[list[float]]] = seen.page.evaluate(
        """([name, x, y]) => {
          const figure = Bokeh.documents[0].roots().find((f) => f.name === name);
          const sources = figure.renderers.map((r) => r.data_source).filter((s) => /^points /.test(s.name || ""));
          return Object.fromEntries(sources.map((s) => [s.name.slice(7),
            Array.from(s.data.row, (row, i) => [row, s.data[x][i], s.data[y][i]])]));
        }""",
        [name, x, y],
    )
    return found


def test_both_pictures_have_a_point_for_every_compared_item(opened: Any) -> None:
    report = report_of()
    seen = opened(report)
    for name, x, y in (("ratings", "size", "load"), ("ratios", "ratio", "row")):
        groups = _drawn(seen, name, x, y)
        points = [p for group in groups.values() for p in group]
        assert len(points) == report.counts["agree"] + report.counts["contradicted"] == 6
        assert sorted(p[0] for p in points) == [2, 3, 4, 5, 6, 8]
        assert [p[0] for p in groups["danger"]] == [5] and [p[0] for p in groups["error"]] == [6]
        holder = seen.page.locator(f"#picture-{name}")
        assert holder.get_attribute("data-points") == "6"
        assert "6 items" in (holder.get_attribute("aria-label") or "") or name == "ratios"
    # row 5 is 26,400 lb in 10 mm and 4 times its rating of 6,600 lb (49 CFR 393.108)
    assert _drawn(seen, "ratings", "size", "load")["danger"][0] == pytest.approx([5, 10, 26400])
    assert _drawn(seen, "ratios", "ratio", "row")["danger"][0] == pytest.approx([5, 4, 5])


def test_every_line_is_named_and_marked_points_are_labelled(opened: Any) -> None:
    seen = opened(report_of())
    ends, labels, ratios = seen.page.evaluate(
        "['line-ends', 'labels-ratings', 'ratio-names'].map(n => Bokeh.documents[0].get_model_by_name(n).data.text)"
    )
    assert sorted(ends) == ["grade 100", "grade 30", "grade 43", "grade 70", "grade 80"]
    assert sorted(labels) == ["row 5", "row 6"]
    assert {"1 agrees", "4 breaking force", "0.4536 kg as pounds", "2.205 pounds as kg"} <= set(
        ratios
    )


def test_rows_of_a_workbook_are_told_apart_by_their_sheet(opened: Any, tmp_path: Path) -> None:
    book = Workbook()
    book.remove(book.active)
    for sheet in ("Chain", "Hooks"):
        page = book.create_sheet(sheet)
        page.append(["Description", "Size", "Grade", "WLL (lb)"])
        page.append([f"{sheet} 3/8", "3/8", 80, 7100])
        # 26,400 lb is four times the 6,600 lb of 3/8 in grade 70 (49 CFR 393.108)
        page.append([f"{sheet} 3/8", "3/8", 70, 26400])
    book.save(tmp_path / "two.xlsx")
    report = check(tmp_path / "two.xlsx")
    seen = opened(report, width=390)
    labels, ends, places, axis = seen.page.evaluate(
        """() => {
          const doc = Bokeh.documents[0];
          const ratios = doc.roots().find((f) => f.name === "ratios");
          const danger = ratios.renderers.find((r) => r.data_source.name === "points danger");
          return [doc.get_model_by_name("labels-ratios").data.text,
            doc.get_model_by_name("line-ends").data.text, Array.from(danger.data_source.data.at),
            Array.from(ratios.left[0].major_label_overrides.values())];
        }"""
    )
    assert sorted(labels) == ["Chain 3", "Hooks 3"]
    assert places == [3, 6]  # the second sheet stands below the three rows of the first
    assert axis == ["Chain 2", "Hooks 2"]
    assert not any("grade" in end for end in ends)  # there is no room for the word


def test_search_filter_sort_and_clear(opened: Any) -> None:
    rows = [r | {"lb": r["lb"] * (4 if n % 2 else 1.9)} for n, r in enumerate(ROWS[:3] * 3)]
    report = report_of([*rows, *ROWS])
    seen = opened(report)
    page = seen.page
    everything = seen.shown()
    assert len(everything) == report.stock_findings.height > 5
    page.fill("#search", "26,400 breaking")
    assert seen.shown() == report.stock_findings.filter(
        (pl.col("observed") == "26,400 lb") & (pl.col("cause") == "breaking-force-as-wll")
    )["row"].to_list() != []  # fmt: skip
    assert page.inner_text("#shown") == f"{len(seen.shown())} of {len(everything)} shown"
    page.fill("#search", "no such words")
    assert seen.shown() == []
    page.click("#clear")
    assert seen.shown() == everything
    page.uncheck("input[value=danger]")
    assert set(seen.shown()) == set(
        report.stock_findings.filter(pl.col("severity") != "danger")["row"]
    )
    page.check("input[value=danger]")
    page.select_option("#cause", "breaking-force-as-wll")
    assert set(seen.shown()) == set(
        report.stock_findings.filter(pl.col("cause") == "breaking-force-as-wll")["row"]
    )
    page.select_option("#cause", "")
    page.select_option("#rule", "rated-below-every-source")
    assert set(seen.shown()) == set(
        report.stock_findings.filter(pl.col("rule") == "rated-below-every-source")["row"]
    )
    page.click("#clear")
    head = page.locator("#findings-table th[data-sort=ratio]")
    head.locator("button").click()
    assert head.get_attribute("aria-sort") == "ascending"
    ratios = page.evaluate(
        "[...document.querySelectorAll('tbody.finding')].map(b => b.dataset.ratio).filter(Boolean).map(Number)"
    )
    assert ratios == sorted(report.stock_findings["ratio"].drop_nulls().to_list())
    head.locator("button").click()
    assert head.get_attribute("aria-sort") == "descending"
    assert page.evaluate("document.querySelectorAll('th[aria-sort=ascending]').length") == 0


def test_a_finding_opens_with_the_keyboard_and_from_the_picture(opened: Any) -> None:
    seen = opened(report_of())
    page = seen.page
    button = page.locator("#findings-table .open").first
    button.focus()
    page.keyboard.press("Enter")
    assert button.get_attribute("aria-expanded") == "true"
    more = page.locator(f"#{button.get_attribute('aria-controls')}")
    told = more.inner_text()
    assert more.is_visible() and "Breaking force listed as the rating" in told
    assert "Source" in told and "rated-above-every-source" in told
    page.keyboard.press("Enter")
    assert not more.is_visible()
    # picking the point of row 6 opens its finding
    page.evaluate(
        """() => { const f = Bokeh.documents[0].roots()[0];
          const s = f.renderers.map((r) => r.data_source).find((s) => s.name === "points error");
          s.selected.indices = [0]; }"""
    )
    assert page.locator("tbody.reached").get_attribute("data-row") == "6"
    assert page.locator("tbody.reached .more").is_visible()


def test_a_pointer_on_a_marked_point_tells_of_it(opened: Any) -> None:
    seen = opened(report_of())
    page = seen.page
    page.locator("#picture-ratings").scroll_into_view_if_needed()
    x, y = page.evaluate(
        """() => { const f = Bokeh.documents[0].roots()[0]; const v = Bokeh.index.find_one(f);
          const box = v.canvas_view.el.getBoundingClientRect();
          return [box.left + v.frame.x_scale.compute(10), box.top + v.frame.y_scale.compute(26400)]; }"""
    )
    page.mouse.move(x - 3, y)
    page.mouse.move(x, y)
    page.locator(".bk-Tooltip").get_by_text("Breaking force listed as the rating").wait_for()


@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_is_wider_than_the_window(opened: Any, width: int, scheme: str) -> None:
    seen = opened(report_of(), width=width, color_scheme=scheme)
    assert seen.page.evaluate("document.documentElement.scrollWidth") <= width
    contrast = seen.page.evaluate(
        """() => {
          const parse = (c) => c.match(/[\\d.]+/g).slice(0, 3).map(Number);
          const light = (c) => { const [r, g, b] = parse(c).map((v) => v / 255)
            .map((v) => v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
            return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
          const paper = light(getComputedStyle(document.body).backgroundColor);
          return [".caution", ".kicker", ".danger .what", ".error .what", ".item"].map((s) => {
            const ink = light(getComputedStyle(document.querySelector(s)).color);
            return (Math.max(ink, paper) + 0.05) / (Math.min(ink, paper) + 0.05); });
        }"""
    )
    assert min(contrast) >= 4.5  # WCAG 2.2, success criterion 1.4.3


def test_what_can_be_used_has_a_name(opened: Any) -> None:
    page = opened(report_of()).page
    nameless = page.evaluate(
        """() => [...document.querySelectorAll("main button, main input, main select, main a, main summary")]
          .filter((e) => !(e.textContent.trim() || e.labels?.length || e.getAttribute("aria-label")))
          .map((e) => e.outerHTML)"""
    )
    assert nameless == []
    roles = page.evaluate(
        "[...document.querySelectorAll('.picture')].map(e => [e.getAttribute('role'), !!e.getAttribute('aria-label')])"
    )
    assert roles == [["img", True], ["img", True]]


def test_a_hostile_list_does_nothing(opened: Any) -> None:
    seen = opened(_hostile())
    page = seen.page
    page.click("#open-all")
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
    for group in ("danger", "error"):
        page.evaluate(
            """(group) => { const f = Bokeh.documents[0].roots()[0]; const v = Bokeh.index.find_one(f);
              const s = f.renderers.map((r) => r.data_source).find((s) => s.name === "points " + group);
              const box = v.canvas_view.el.getBoundingClientRect(); window.scrollTo(0, box.top + scrollY - 100);
              window.at = [v.frame.x_scale.compute(s.data.size[0]), v.frame.y_scale.compute(s.data.load[0])]; }""",
            group,
        )
        x, y = page.evaluate(
            """() => { const b = Bokeh.index.find_one(Bokeh.documents[0].roots()[0]).canvas_view.el.getBoundingClientRect();
              return [b.left + window.at[0], b.top + window.at[1]]; }"""
        )
        page.mouse.move(x - 2, y)
        page.mouse.move(x, y)
        page.locator(".bk-Tooltip").first.wait_for()
        shown = page.evaluate(
            "[...document.querySelectorAll('.bk-Tooltip')].map(e => e.shadowRoot.textContent).join()"
        )
        assert any(text.strip()[:12] in shown for text in HOSTILE), shown
    page.fill("#search", "<script>")
    assert page.evaluate("window.hacked") is None
    assert page.evaluate("document.querySelectorAll('script').length") == 6
    assert (
        page.evaluate(
            "[...document.querySelectorAll('main img, main svg:not(.icon, .dash)')].filter(e => !e.closest('.picture')).length"
        )
        == 0
    )
    told = page.inner_text("#not-compared")
    assert "<" in told or HOSTILE[5] in told  # as text, in full


@pytest.mark.parametrize("width", [1280, 390])
def test_accepted_findings_and_the_change_have_sections(
    browser: Any, tmp_path: Path, width: int
) -> None:
    decisions = tmp_path / "decisions.csv"
    decisions.write_text(
        "row_key,rule,decision,who,why,date\n"
        "HP-5,rated-below-every-source,accept,<b>Ann</b>,<script>window.hacked = 1</script>,2026-11-20\n"
    )
    before = tmp_path / "before.json"
    before.write_text(report_of().to_json())
    done = apply_decisions(report_of(), decisions, today=date(2026, 11, 25))
    change = since(done.report, before)
    path = tmp_path / "page.html"
    path.write_text(page_html(done.report, change=change), encoding="utf-8")
    seen = Seen(browser, path, width=width)
    assert seen.shown() == [5] and seen.troubles() == []
    groups = _drawn(seen, "ratings", "size", "load")
    assert {g: [p[0] for p in points] for g, points in groups.items() if points} == {
        "agree": [2, 3, 4, 8], "danger": [5], "accepted": [6]
    }  # fmt: skip
    accepted = seen.page.inner_text("#accepted")
    assert "by <b>Ann</b> on 2026-11-20: <script>window.hacked = 1</script>" in accepted
    assert "0 new, 1 gone, 1 still there" in seen.page.inner_text("#change")
    assert "it was accepted by a decision" in seen.page.inner_text("#change")
    assert seen.page.evaluate("window.hacked") is None
    assert seen.page.evaluate("document.documentElement.scrollWidth") <= width


def test_the_pictures_are_printed_as_pictures(opened: Any) -> None:
    page = opened(report_of()).page
    page.wait_for_selector("#picture-ratios.printed", timeout=30_000)
    page.wait_for_selector("#picture-ratings.printed", timeout=30_000)
    page.emulate_media(media="print")
    sizes = page.evaluate(
        "[...document.querySelectorAll('.picture img')].map(i => [i.naturalWidth > 300, i.getBoundingClientRect().width > 300])"
    )
    assert sizes == [[True, True], [True, True]]
    assert page.locator(".filters").is_visible() is False
    assert page.locator("#findings-table .more").first.is_visible()  # paper cannot be clicked


def test_a_hundred_thousand_rows_stay_small_and_quick(opened: Any, tmp_path: Path) -> None:
    report = report_of(long_list(100_000, 1000))
    assert report.stock_findings.height >= 1000
    seen = opened(report)
    assert (tmp_path / "page.html").stat().st_size < 5_000_000
    assert seen.opened_s < 30  # about two seconds on a desk; slow machines share their cores
    for name in ("ratings", "ratios"):
        assert seen.page.locator(f"#picture-{name}").get_attribute("data-points") == str(
            report.counts["agree"] + report.counts["contradicted"]
        )
    spent = seen.page.evaluate(
        """() => ["break", "digit", "no such", ""].map((words) => {
          const box = document.getElementById("search"); box.value = words;
          const start = performance.now(); box.dispatchEvent(new Event("input"));
          document.body.getBoundingClientRect(); return performance.now() - start; })"""
    )
    assert max(spent) < 1500, spent


def test_more_findings_than_the_page_holds_are_announced() -> None:
    many = report_of(
        [ROWS[3] | {"part": f"P{n}", "lb": 26400 + 7 * n} for n in range(MOST_FINDINGS + 25)]
    )
    html = page_html(many)
    left = many.stock_findings.height - MOST_FINDINGS
    assert left > 0 and f"{left} more findings" in html
    assert html.count('<tbody class="finding') == MOST_FINDINGS


def test_severities_differ_without_colour() -> None:
    from tallyhook.reporting.pictures import MARKERS

    assert len({MARKERS[s] for s in SEVERITIES}) == len(SEVERITIES) and len(
        set(MARKERS.values())
    ) == len(MARKERS)
