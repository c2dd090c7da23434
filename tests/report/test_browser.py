"""The page in a real browser: no errors, no requests, nothing too wide, and a clean print."""

import html
import importlib.util
import json
import re
import shutil
import subprocess
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import pytest

from climlog.analysis.crack.crack import analyse_crack
from climlog.analysis.place.place import analyse_place
from climlog.analysis.place.result import PlaceResult
from climlog.analysis.room.room import analyse_room
from climlog.importer.read import read_log
from climlog.report.crack.document import document as crack_document
from climlog.report.html import render
from climlog.report.phrases import Say
from climlog.report.place.document import document
from climlog.report.room.document import document as room_document
from climlog.sheets.crack import read_seen
from climlog.sheets.piece import read_piece
from climlog.sheets.stock import read_stock
from tests.places import SAMPLES

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "msedge")
BROWSER = next((found for name in BROWSERS if (found := shutil.which(name))), None)
FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--hide-scrollbars", "--host-resolver-rules=MAP * ~NOTFOUND", "--enable-logging=stderr",
    "--virtual-time-budget=4000",
)  # fmt: skip
LONGEST_S = 120
PHONE, DESK = 360, 1280

pytestmark = pytest.mark.skipif(
    BROWSER is None, reason=f"no browser: looked for {', '.join(BROWSERS)} on the path"
)

# Watches for errors from the first line on, then touches every drawing and measures everything.
PROBE = """<script>
window.seen = [];
addEventListener("error", function (e) { seen.push(String(e.message)); });
addEventListener("securitypolicyviolation", function (e) { seen.push(e.violatedDirective); });
addEventListener("load", function () {
  var figures = Array.from(document.querySelectorAll("figure[data-readings]"));
  var said = figures.map(function (figure) {
    var svg = figure.querySelector("svg"), box = svg.getBoundingClientRect();
    var out = figure.querySelector(".reading"), answers = [];
    svg.dispatchEvent(new PointerEvent("pointermove",
      {clientX: box.left + box.width / 2, clientY: box.top + 5, bubbles: true}));
    answers.push(out.textContent);
    svg.dispatchEvent(new KeyboardEvent("keydown", {key: "ArrowRight", bubbles: true}));
    answers.push(out.textContent);
    svg.dispatchEvent(new PointerEvent("pointerleave"));
    answers.push(out.textContent);
    return answers;
  });
  var wide = Array.from(document.querySelectorAll(".sheet *")).filter(function (one) {
    return !one.closest("svg *") && one.getBoundingClientRect().right > innerWidth + 0.5;
  }).map(function (one) { return one.tagName + " " + one.textContent.slice(0, 40); });
  var pictures = Array.from(document.querySelectorAll("figure > svg")).map(function (one) {
    var box = one.getBoundingClientRect();
    return [one.querySelector("title").textContent, box.width, box.height];
  });
  parent.postMessage(JSON.stringify({
    seen: seen, said: said, wide: wide, pictures: pictures, inner: innerWidth,
    scroll: document.documentElement.scrollWidth,
    requests: performance.getEntriesByType("resource").map(function (one) { return one.name; })
  }), "*");
});
</script>"""

# A browser's window has a least width; a frame has none, and its page lays itself out to it.
FRAME = """<!DOCTYPE html><meta charset="utf-8"><title>frame</title><script>
addEventListener("message", function (event) {
  var answer = document.createElement("pre");
  answer.id = "probe";
  answer.textContent = event.data;
  document.body.appendChild(answer);
});
</script><iframe src="page.html" style="border: 0" width="%d" height="900"></iframe>"""


@dataclass(frozen=True)
class Seen:
    """What the probe and the browser's own log say."""

    probe: dict[str, object]
    log: str


def place_page(result: PlaceResult, units: str) -> str:
    return render(document(result, Say(units)))


@cache
def result_of(sheet: str, log: str = "ferry_house_dining_room.csv") -> PlaceResult:
    return analyse_place(read_piece(SAMPLES / sheet), read_log([SAMPLES / log]))


def long_names() -> PlaceResult:
    """Words that no line can break by itself."""
    result = result_of("dining_table.toml")
    word = "unbreakable" * 12
    log = replace(result.log, files=(f"{word}.csv",))
    piece = replace(result.piece, name=word, cut=word, assumed=(word,))
    fastenings = tuple(
        replace(one, fastening=replace(one.fastening, name=word)) for one in result.fastenings
    )
    return replace(result, piece=piece, log=log, fastenings=fastenings)


CASES = {
    "runs out": lambda: result_of("dining_table.toml"),
    "holds": lambda: result_of("wide_top_slots.toml"),
    "three weeks": lambda: result_of("breadboard_table.toml", "three_weeks_phone.csv"),
    "long names": long_names,
}


def run(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    profile = f"--user-data-dir={folder / 'profile'}"
    return subprocess.run(
        [str(BROWSER), *FLAGS, profile, *arguments],
        capture_output=True, text=True, encoding="utf-8", timeout=LONGEST_S, check=True,
    )  # fmt: skip


@pytest.fixture(scope="module")
def look(tmp_path_factory):
    @cache
    def look_at(case: str, width: int) -> Seen:
        folder = tmp_path_factory.mktemp("browser")
        page = place_page(CASES[case](), "inch" if width == DESK else "metric")
        probed = page.replace("<title>", PROBE + "<title>", 1)
        (folder / "page.html").write_text(probed, encoding="utf-8")
        frame = folder / "frame.html"
        frame.write_text(FRAME % width, encoding="utf-8")
        done = run(folder, "--window-size=1400,1000", "--dump-dom", frame.as_uri())
        found = re.search(r'<pre id="probe">(.*?)</pre>', done.stdout, flags=re.DOTALL)
        assert found, done.stderr[-2000:]
        text = found[1].replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
        return Seen(json.loads(text), done.stderr)

    return look_at


@pytest.mark.parametrize("width", [PHONE, DESK])
@pytest.mark.parametrize("case", CASES)
def test_no_errors_and_no_requests(look, case, width):
    seen = look(case, width)
    assert seen.probe["seen"] == []
    assert seen.probe["requests"] == []
    assert "CONSOLE" not in seen.log
    assert "ERR_NAME_NOT_RESOLVED" not in seen.log


@pytest.mark.parametrize("width", [PHONE, DESK])
@pytest.mark.parametrize("case", CASES)
def test_nothing_is_wider_than_the_screen(look, case, width):
    probe = look(case, width).probe
    assert probe["inner"] == width
    assert probe["wide"] == []
    assert probe["scroll"] <= width


@pytest.mark.parametrize("width", [PHONE, DESK])
def test_the_pictures_are_there_and_large_enough_to_read(look, width):
    every = look("runs out", width).probe["pictures"]
    pictures = [one for one in every if not one[0].startswith("The grain lengthways")]
    assert len(pictures) == len(every) - 1 == 7
    for name, wide, tall in pictures:
        assert wide > 0.8 * min(width, 480), name
        assert tall > 40, name


def test_values_show_by_pointer_and_by_key_and_go_again(look):
    for by_pointer, by_key, after in look("runs out", DESK).probe["said"]:
        assert re.match(r"\d+ \w+ 202\d: ", by_pointer)
        assert re.match(r"\d+ \w+ 202\d: ", by_key)
        assert by_pointer != by_key
        assert after.startswith("Point at the drawing")


# axe-core, the accessibility checker of Deque Systems, as the package axe-core-python brings it:
# https://github.com/dequelabs/axe-core (MPL 2.0); used by this test alone.
CHECKER = importlib.util.find_spec("axe_core_python")
SERIOUS = ("serious", "critical")
DARK = "--blink-settings=preferredColorScheme=0"
CHECK = """<script>addEventListener("load", function () {
  axe.run(document, {resultTypes: ["violations"]}).then(function (found) {
    var answer = document.createElement("pre");
    answer.id = "probe";
    answer.textContent = JSON.stringify(found.violations.map(function (one) {
      return [one.impact, one.id, one.nodes.map(function (node) { return node.html; })];
    }));
    document.body.appendChild(answer);
  });
});</script>"""


def serious_findings(folder: Path, page: str, *flags: str) -> list[tuple[str, str]]:
    """What the checker finds serious: its rule and the first element."""
    root = Path(next(iter(CHECKER.submodule_search_locations)))
    checker = (root / "axe.min.js").read_text(encoding="utf-8").replace("</script", r"<\/script")
    path = folder / "page.html"
    probed = page.replace("<title>", f"<script>{checker}</script>{CHECK}<title>", 1)
    path.write_text(probed, encoding="utf-8")
    done = run(folder, *flags, "--virtual-time-budget=15000", "--dump-dom", path.as_uri())
    found = re.search(r'<pre id="probe">(.*?)</pre>', done.stdout, flags=re.DOTALL)
    assert found, done.stderr[-2000:]
    rows = json.loads(html.unescape(found[1]))
    return [(rule, nodes[0][:120]) for impact, rule, nodes in rows if impact in SERIOUS]


@cache
def crack_page() -> str:
    sheet = SAMPLES / "crack_held_top.toml"
    log = read_log([SAMPLES / "ferry_house_dining_room.csv"])
    result = analyse_crack(read_piece(sheet), log, read_seen(sheet))
    return render(crack_document(result, Say("inch")))


@cache
def room_page() -> str:
    result = analyse_room(
        read_log([SAMPLES / "drying_room.csv"]), read_stock(SAMPLES / "stock.toml")
    )
    return render(room_document(result, Say("inch")))


PAGES = {
    "place": lambda: place_page(CASES["runs out"](), "inch"),
    "room": room_page,
    "crack": crack_page,
}


@pytest.mark.slow
@pytest.mark.skipif(CHECKER is None, reason="axe-core-python is not installed")
@pytest.mark.parametrize("job", PAGES)
def test_the_checker_finds_nothing_serious_in_light_or_dark(tmp_path, job):
    page = PAGES[job]()
    assert serious_findings(tmp_path, page) == []
    assert serious_findings(tmp_path, page, DARK) == []


@pytest.mark.skipif(CHECKER is None, reason="axe-core-python is not installed")
def test_the_checker_would_find_pale_words_and_a_picture_without_words(tmp_path):
    bad = '<p style="color:#ccc;background:#fff">pale</p><img src="data:,x">'
    found = serious_findings(tmp_path, room_page().replace("</main>", f"{bad}</main>"))
    assert {rule for rule, _ in found} == {"color-contrast", "image-alt"}


@pytest.mark.parametrize("job", ["room", "crack"])
def test_no_page_scrolls_sideways_on_a_phone(tmp_path, job):
    page = PAGES[job]().replace("<title>", PROBE + "<title>", 1)
    (tmp_path / "page.html").write_text(page, encoding="utf-8")
    frame = tmp_path / "frame.html"
    frame.write_text(FRAME % PHONE, encoding="utf-8")
    done = run(tmp_path, "--window-size=1400,1000", "--dump-dom", frame.as_uri())
    found = re.search(r'<pre id="probe">(.*?)</pre>', done.stdout, flags=re.DOTALL)
    probe = json.loads(html.unescape(found[1]))
    assert probe["inner"] == PHONE
    assert probe["wide"] == []
    assert probe["scroll"] <= PHONE


def pages_of(pdf: Path) -> int:
    return len(re.findall(rb"/Type\s*/Page\b", pdf.read_bytes()))


@pytest.mark.parametrize("case", ["runs out", "holds", "three weeks"])
def test_it_prints_with_each_card_on_one_page_of_its_own(tmp_path, case):
    page = place_page(CASES[case](), "inch")
    without, cards = re.subn(r"<aside.*?</aside>", "", page, flags=re.DOTALL)
    assert cards > 0
    counts = []
    for name, text in (("page", page), ("without", without)):
        path = tmp_path / f"{name}.html"
        path.write_text(text, encoding="utf-8")
        pdf = tmp_path / f"{name}.pdf"
        run(tmp_path, "--no-pdf-header-footer", f"--print-to-pdf={pdf}", path.as_uri())
        assert pdf.read_bytes().startswith(b"%PDF")
        counts.append(pages_of(pdf))
    assert counts[0] == counts[1] + cards
    assert 4 <= counts[0] <= 12


def test_a_crack_prints_as_four_sheets_of_one_side_each(tmp_path):
    page = crack_page()
    for name, size in (("letter", "letter"), ("a4", "A4")):
        path, pdf = tmp_path / f"{name}.html", tmp_path / f"{name}.pdf"
        path.write_text(page.replace("@page {", f"@page {{ size: {size};", 1), encoding="utf-8")
        run(tmp_path, "--no-pdf-header-footer", f"--print-to-pdf={pdf}", path.as_uri())
        assert pages_of(pdf) == 4
