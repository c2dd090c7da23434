"""The desk in a real browser, as somebody uses it: drop, settle, fill in, move, take, save, run."""

import contextlib
import importlib.util
import json
import os
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from click.testing import CliRunner

from climlog.cli import main
from tests.desk.test_server import AMBIGUOUS
from tests.places import ROOT, SAMPLES
from tests.report.test_browser import BROWSER, BROWSERS, CHECKER, SERIOUS

PLAYWRIGHT = importlib.util.find_spec("playwright")
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(PLAYWRIGHT is None, reason="playwright is not installed"),
    pytest.mark.skipif(
        BROWSER is None, reason=f"no browser: looked for {', '.join(BROWSERS)} on the path"
    ),
]
LONGEST_MS = 20_000
FOUR = ("drying_room.csv", "ferry_house_dining_room.csv", "shop.csv", "three_weeks_phone.csv")
WIDTHS = (360, 620, 900, 1280, 1600)


@contextlib.contextmanager
def running():
    """Run a desk as somebody starts it; its address."""
    kept = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"}
    desk = subprocess.Popen(
        [sys.executable, "-m", "climlog", "desk", "--no-open"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=kept, encoding="utf-8",
    )  # fmt: skip
    try:
        line = desk.stdout.readline()
        assert "http://127.0.0.1:" in line, desk.stderr.read()
        yield desk, line.split()[-1]
    finally:
        desk.kill()
        desk.communicate()


@pytest.fixture(scope="module")
def address():
    with running() as (_, found):
        yield found


@pytest.fixture(scope="module")
def browser():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        found = play.chromium.launch(executable_path=BROWSER, args=["--no-sandbox"])
        yield found
        found.close()


@contextlib.contextmanager
def opened(browser, address, **how):
    """Open the page; whatever goes wrong in it fails the test, and it asks nobody but the desk."""
    wrong = []
    context = browser.new_context(viewport={"width": 1280, "height": 900}, **how)
    context.set_default_timeout(LONGEST_MS)
    page = context.new_page()
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("request", lambda one: wrong.append(one.url) if not is_own(one.url, address) else None)
    page.goto(address)
    page.wait_for_selector("body[data-ready]")
    yield page
    context.close()
    assert wrong == []


def is_own(url, address):
    return url.startswith((address, "data:", "blob:"))


@pytest.fixture
def page(browser, address):
    with opened(browser, address) as found:
        yield found


def drop(page, *files):
    page.set_input_files("#files", list(files))


def dragged(page, name, text):
    """Let go of a file over the page, as from a folder's window."""
    page.evaluate(
        """([name, text]) => {
          const held = new DataTransfer();
          held.items.add(new File([text], name));
          document.dispatchEvent(new DragEvent("drop", {dataTransfer: held, bubbles: true}));
        }""",
        [name, text],
    )


def answer_with(page, words):
    page.wait_for_selector(f'#answer:not([aria-busy]) #answer-says:has-text("{words}")')


def fill_in(page, **fields):
    for key, value in fields.items():
        page.fill(f"#f-piece-{key}", value)
        page.dispatch_event(f"#f-piece-{key}", "change")


def fill_in_a_table(page):
    page.fill("#f-piece-name", "Hall table")
    fill_in(page, wood="red oak", width="38 in", length="72 in", thickness="7/8 in")
    fill_in(page, fixed_on="2025-02-14", moisture_when_fixed="7.5 %")
    page.select_option("#f-piece-measured_by", "pin meter")
    page.select_option("#f-base-layout", "apron")


def saved(page, what, folder):
    with page.expect_download() as got:
        page.click(f"[data-save={what}]")
    path = folder / got.value.suggested_filename
    got.value.save_as(path)
    return path


def test_a_table_is_filled_in_a_fastening_moved_a_change_taken_and_the_command_agrees(
    page, tmp_path
):
    drop(page, SAMPLES / "ferry_house_dining_room.csv")
    page.wait_for_selector(".logcard .found")
    fill_in_a_table(page)
    page.click("text=Choose how it is held")
    page.select_option("#f-fastening-0-kind", "screw")
    page.wait_for_selector("#plan .fastening")
    answer_with(page, "Runs out")
    moved(page)
    answer_with(page, "Runs out")
    page.click('[data-change="0"]')
    answer_with(page, "Holds")
    sheet, numbers = saved(page, "sheet", tmp_path), saved(page, "json", tmp_path)
    words = page.inner_text("#command").split()
    assert words[3:5] == ["--piece", sheet.name]
    words[2], words[4] = str(SAMPLES / words[2]), str(sheet)
    done = CliRunner().invoke(main, [*words[1:], "--json", "-"])
    assert done.exit_code == 0, done.output
    told = json.loads(done.stdout)
    assert told == json.loads(numbers.read_text(encoding="utf-8"))
    assert told["as_a_set"]["verdict"] == "holds"
    assert saved(page, "drawing", tmp_path).read_bytes().startswith(b"%PDF")
    assert "Hall table" in saved(page, "page", tmp_path).read_text(encoding="utf-8")


def moved(page):
    """Move the seventh fastening by pointer and by key; it slides along its rail."""
    one = page.locator('#plan [data-at="7"]')
    one.scroll_into_view_if_needed()
    before, box = one.get_attribute("transform"), one.locator(".grab").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 20, y + 30, steps=4)
    with page.expect_response("**/ask/edit"):
        page.mouse.up()
    page.wait_for_selector("text=each at its place in the drawing below")
    after = one.get_attribute("transform")
    assert after != before
    across = [float(one.split()[1].rstrip(")")) for one in (before, after)]
    assert across[0] == pytest.approx(across[1], abs=0.1)
    one.focus()
    with page.expect_response("**/ask/edit"):
        page.keyboard.press("Shift+ArrowLeft")
    page.wait_for_selector(f'#plan [data-at="7"]:not([transform="{after}"])')
    assert page.evaluate("document.activeElement.dataset.at") == "7"


def test_each_of_four_logs_is_dropped_and_told(page):
    drop(page, *(SAMPLES / name for name in FOUR))
    page.wait_for_selector("#logs:not([aria-busy]) .logcard:nth-of-type(4) .found")
    told = page.locator(".logcard .found").all_inner_texts()
    assert len(told) == 4
    assert all("rows used" in one for one in told)
    assert page.locator(".logcard svg path").count() >= 4


def test_an_ambiguous_date_is_asked_with_rows_and_settled_by_a_click(page):
    dragged(page, "when.csv", AMBIGUOUS)
    page.wait_for_selector("#questions .choice")
    both = page.locator("#questions .choice").all_inner_texts()
    assert len(both) == 2
    assert "April" in both[0] + both[1]
    assert "March" in both[0] + both[1]
    page.locator("#questions .choice", has_text="3 April 2025").click()
    page.wait_for_selector('.logcard .found:has-text("3 April 2025")')
    assert page.locator("#questions .choice").count() == 0


def test_a_binary_file_is_refused_in_a_line_and_the_page_goes_on(page, tmp_path):
    (tmp_path / "photo.csv").write_bytes(bytes(range(256)) * 40)
    drop(page, tmp_path / "photo.csv")
    page.wait_for_selector(".logcard .trouble")
    assert "photo.csv" in page.inner_text(".logcard .trouble")
    page.click("text=Take away")
    page.click("#sample")
    answer_with(page, "Runs out")


def test_a_hostile_sheet_and_log_run_nothing(page):
    bad = "<img src=x onerror=document.title='hit'><script>document.title='hit'</script>"
    dragged(page, f"{bad[:40]}.csv", f"{bad},Temperature,Humidity\n1,2,3\n")
    quoted = json.dumps(bad)
    dragged(page, "bad.toml", f"[piece]\nname = {quoted}\nwood = {quoted}\nwidth = {quoted}\n")
    page.wait_for_selector("#f-piece-wood[aria-invalid]")
    assert page.title() == "climlog desk"
    assert page.locator("img").count() == 0


def test_two_tabs_answer_each_its_own(browser, address):
    with opened(browser, address) as one, opened(browser, address) as other:
        one.click("#sample")
        other.click("#sample")
        answer_with(one, "Runs out")
        answer_with(other, "Runs out")
        one.click('[data-change="0"]')
        answer_with(one, "Holds")
        assert "Runs out" in other.inner_text("#answer-says")


def test_a_crack_and_a_room_ask_for_what_they_need(page):
    drop(page, SAMPLES / "ferry_house_dining_room.csv", SAMPLES / "crack_held_top.toml")
    page.check("[name=job][value=crack]")
    answer_with(page, "held while it shrank")
    assert page.input_value("#f-crack-seen") == "2026-01-28"
    drop(page, SAMPLES / "stock.toml")
    page.wait_for_selector("#f-board-0-wood")
    answer_with(page, "")
    assert page.is_checked("[name=job][value=room]")


def test_the_keyboard_alone_takes_a_fastening_away_and_turns_one(page):
    page.click("#sample")
    page.wait_for_selector("#plan .fastening")
    count = page.locator("#plan .fastening").count()
    page.locator('#plan [data-at="2"]').focus()
    page.keyboard.press("Delete")
    page.wait_for_selector(f"text={count - 1} fastenings, each at its place")
    page.select_option("#add-kind", "figure-eight")
    page.focus("#add")
    page.keyboard.press("Enter")
    page.wait_for_selector(f"text={count} fastenings, each at its place")
    last = page.locator(f'#plan [data-at="{count - 1}"]')
    last.focus()
    page.keyboard.press("]")
    page.wait_for_selector(f'#plan [data-at="{count - 1}"][aria-label*="turned 5 degrees"]')


def test_every_control_and_part_of_the_drawing_has_a_name(page):
    page.click("#sample")
    answer_with(page, "Runs out")
    bare = page.evaluate(
        """() => Array.from(document.querySelectorAll("input, select, button, [tabindex]"))
          .filter((one) => !one.closest("#block figure") && !(one.labels && one.labels.length
            && one.labels[0].textContent.trim()) && !one.getAttribute("aria-label")
            && !one.textContent.trim())
          .map((one) => one.outerHTML.slice(0, 90))"""
    )
    assert bare == []
    names = [one.get_attribute("aria-label") for one in page.locator("#plan .fastening").all()]
    assert len(set(names)) == len(names)


def test_nothing_is_wider_than_the_window_at_any_width(page):
    page.click("#sample")
    answer_with(page, "Runs out")
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 800})
        assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.skipif(CHECKER is None, reason="axe-core-python is not installed")
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_checker_finds_nothing_serious(browser, address, scheme):
    root = Path(next(iter(CHECKER.submodule_search_locations)))
    checker = (root / "axe.min.js").read_text(encoding="utf-8")
    with opened(browser, address, color_scheme=scheme) as page:
        for stage in ("#sample", "[name=job][value=crack]", "[name=job][value=room]"):
            page.click(stage)
            answer_with(page, "") if stage == "#sample" else page.wait_for_timeout(300)
            page.evaluate(checker)
            found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
            serious = [
                (one["id"], one["nodes"][0]["html"][:160])
                for one in found["violations"]
                if one["impact"] in SERIOUS
            ]
            assert serious == [], stage


def test_a_desk_that_is_killed_says_so_and_the_sheet_can_still_be_saved(browser, tmp_path):
    with running() as (desk, address), opened(browser, address) as page:
        page.click("#sample")
        answer_with(page, "Runs out")
        desk.kill()
        desk.wait()
        page.fill("#f-piece-width", "30 in")
        page.dispatch_event("#f-piece-width", "change")
        page.wait_for_selector("#trouble:has-text('The desk has stopped')")
        assert "30 in" in saved(page, "sheet", tmp_path).read_text(encoding="utf-8")


@pytest.mark.skipif(os.name == "nt", reason="signals are sent another way on Windows")
def test_ctrl_c_ends_it_quietly_and_takes_the_uploads_along(tmp_path):
    with running() as (desk, address):
        timer = threading.Timer(30, desk.kill)
        timer.start()
        desk.send_signal(signal.SIGINT)
        out, err = desk.communicate()
        timer.cancel()
    assert desk.returncode == 0
    assert err == ""
    assert address not in out


def test_a_row_whose_kind_is_emptied_can_be_given_another(page):
    fields = {"wood": "red oak", "width": "38 in", "length": "72 in", "thickness": "1 in"}
    for key, value in fields.items():
        page.fill(f"#f-piece-{key}", value)
    page.select_option("#f-base-layout", "apron")
    page.click("text=Choose how it is held")
    for kind in ("slot", "", "screw"):
        page.select_option("#f-fastening-0-kind", kind)
    page.wait_for_selector("#bench:not([hidden]) #plan svg")
    rows = page.evaluate("import('./static/state.js').then((m) => m.state.tables.fastening)")
    assert rows == [{"kind": "screw"}]
    assert page.inner_text("#faults") == ""
