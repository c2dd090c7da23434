"""What a room run says: one answer, one table, one document for page, terminal and JSON."""

import re
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser

import pytest

from climlog.analysis.room.air_result import AirVerdict
from climlog.analysis.room.result import RoomResult
from climlog.analysis.room.room import analyse_room
from climlog.analysis.room.stock_result import BoardTask
from climlog.importer.read import read_log
from climlog.report import html, terminal
from climlog.report.document import Signed
from climlog.report.phrases import Say
from climlog.report.room.air import check_lines, setting_text
from climlog.report.room.answer import answer, beside_table, headline
from climlog.report.room.charts import board_chart, months_chart, room_chart
from climlog.report.room.client import client_lines, month_table
from climlog.report.room.document import caution_lines, document
from climlog.report.room.stock import (
    board_lines,
    in_order,
    ready_text,
    short_stock_table,
    stock_table,
)
from climlog.sheets.piece import read_piece
from climlog.sheets.stock import read_stock
from tests.places import SAMPLES

INCH, METRIC = Say("inch"), Say("metric")
HOSTILE = "<script>alert(\"x\")</script> & 'co' {{ 7 * 7 }}"
VOID = {"meta", "link", "br", "img", "hr", "input", "col"}
LARGEST_BYTES = 700_000


@cache
def result_of(with_stock: bool = True) -> RoomResult:
    stock = read_stock(SAMPLES / "stock.toml") if with_stock else None
    log = read_log([SAMPLES / "drying_room.csv"])
    return analyse_room(log, stock=stock)


@cache
def for_client() -> RoomResult:
    log, client = (
        read_log([SAMPLES / name]) for name in ("shop.csv", "ferry_house_dining_room.csv")
    )
    return analyse_room(log, client=client, pieces=(read_piece(SAMPLES / "dining_table.toml"),))


@cache
def two_loggers(apart_rh: float = 8.0) -> RoomResult:
    log = read_log([SAMPLES / "drying_room.csv"])
    second = replace(log, rh_pct=log.rh_pct + apart_rh, files=("upstairs.csv",))
    return analyse_room(log, read_stock(SAMPLES / "stock.toml"), second=second)


@cache
def eight_stacks(apart_rh: float) -> RoomResult:
    log = read_log([SAMPLES / "drying_room.csv"])
    second = replace(log, rh_pct=log.rh_pct + apart_rh, files=("upstairs.csv",))
    stock = read_stock(SAMPLES / "stock.toml")
    likes = stock.boards[:4]
    more = [replace(one, name=f"{one.name[:13]} again", target_pct=aim)
            for one, aim in zip(likes, (7.0, 7.0, 7.0, 9.0), strict=True)]  # fmt: skip
    stock = replace(stock, boards=(*stock.boards[:4], *more))
    return analyse_room(log, stock, second=second)


@cache
def page_of(units: str = "inch") -> str:
    return html.render(document(result_of(), Say(units)))


class Page(HTMLParser):
    """Collects text, ids and links; refuses tags that do not close in order."""

    def __init__(self, page):
        super().__init__()
        self.open, self.ids, self.links, self.words, self.tags = [], [], [], [], []
        self.feed(page)
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        found = dict(attrs)
        self.ids += [found["id"]] if "id" in found else []
        self.links += [found["href"]] if "href" in found else []
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open[-1:] not in (["style"], ["script"]):
            self.words.append(data)

    @property
    def text(self):
        return " ".join(" ".join(self.words).split())


def test_the_page_closes_every_tag_and_names_every_place_once():
    page = Page(page_of())
    assert len(page.ids) == len(set(page.ids))
    assert all(link[1:] in page.ids for link in page.links if link.startswith("#"))


def test_the_page_asks_no_network_for_anything():
    page = page_of()
    assert not re.search(r"(src|href)=[\"']?(https?:)?//", page)
    assert "url(http" not in page
    assert len(page.encode("utf-8")) < LARGEST_BYTES


@pytest.mark.parametrize("say", [INCH, METRIC], ids=lambda say: say.units)
def test_page_and_terminal_say_the_same(say):
    result = result_of()
    said = [headline(result), setting_text(result, say), *check_lines(result, say)]
    said += caution_lines(result, say)
    for board in result.stock.boards:
        said += board_lines(board, say)
    words = Page(html.render(document(result, say))).text.replace("\N{NO-BREAK SPACE}", " ")
    text = " ".join(terminal.render(document(result, say), full=True).split())
    for line in said:
        assert " ".join(line.split()) in words
        assert " ".join(line.split()) in text


@pytest.mark.parametrize("made", [result_of, for_client, two_loggers, lambda: result_of(False)])
def test_the_answer_fits_a_terminal_and_says_what_to_set(made):
    result = made()
    block = answer(result, INCH)
    assert block.verdict.word == result.verdict
    assert len(terminal.render(document(result, INCH)).splitlines()) <= 24
    assert bool(block.set) == (result.setting is not None)


def test_the_table_stands_first_and_has_a_row_a_board_by_what_is_to_be_done():
    result = result_of()
    first = document(result, INCH).sections[0]
    (table,) = first.blocks
    assert table == stock_table(result.stock, INCH)
    assert [row[0] for row in table.rows] == [one.board.name for one in in_order(result.stock)]
    tasks = [row[-1].sign.word for row in table.rows]
    assert tasks == sorted(tasks, key=[task.value for task in BoardTask].index)
    assert all(isinstance(row[-1], Signed) for row in table.rows)


@pytest.mark.parametrize("apart_rh", [1.0, 8.0])
def test_eight_stacks_and_their_answer_fit_80_columns_and_25_lines(apart_rh, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    result = eight_stacks(apart_rh)
    table, brief = short_stock_table(result.stock), beside_table(result, INCH)
    text = terminal.render_with(document(result, INCH), table, brief=(brief, table))
    lines = text.splitlines()
    assert len(lines) <= 24
    assert max(map(len, lines)) <= 80
    rows = lines[next(n for n, line in enumerate(lines) if line.startswith("  Board ")) + 1 :]
    assert [row.split("  ")[1] for row in rows[:-1]] == [
        one.board.name for one in in_order(result.stock)
    ]


def test_a_row_of_the_stock_speaks_of_the_room_as_it_is_set_alone():
    result = eight_stacks(1.0)
    for one, row in zip(in_order(result.stock), short_stock_table(result.stock).rows, strict=True):
        assert row[3] == f"{one.chosen.ends_at_pct:.1f}"
        # "Now" is for what is ready in most cases, and the odds beside it are of that.
        assert (row[4] == "now") == (one.chosen.share_now >= 0.5)
        share = one.chosen.share_now if row[4] == "now" else one.chosen.ready.share
        assert row[7] == f"{100 * share:.0f}"
    long = stock_table(result.stock, INCH)
    assert [row[3] for row in long.rows] == [
        f"{one.chosen.ends_at_pct:.1f} %" for one in in_order(result.stock)
    ]


def test_the_counted_answer_says_of_as_many_boards_what_the_named_one_says_of_each():
    result = eight_stacks(1.0)
    named, counted = answer(result, INCH), beside_table(result, INCH)
    assert (counted.says, counted.set, counted.verdict) == (named.says, named.set, named.verdict)
    tasks = [one.task for one in result.stock.boards]
    for task, says in ((BoardTask.USE, "Ready: "), (BoardTask.WAIT, "Wait for ")):
        number = tasks.count(task)
        said = [line for line in counted.do if line.startswith(says)]
        assert bool(said) == bool(number)
        assert all(f"{number} board" in line for line in said)


def test_a_board_that_is_used_is_ready_in_most_cases_wherever_it_is_told():
    result = result_of()
    block = answer(result, INCH)
    for one in result.stock.boards:
        if one.task == BoardTask.USE:
            assert ready_text(one, INCH).startswith("now, in ")
            assert one.board.name in block.do[0]
            assert one.chosen.share_now >= 0.5


def test_two_loggers_too_far_apart_for_the_target_leave_the_answer_open():
    result = two_loggers()
    block = answer(result, METRIC)
    assert result.verdict == AirVerdict.NOT_KNOWN
    assert block.do[0].startswith("Check both loggers with a salt jar")
    assert 'climlog salt --at "29 C" --jar NaCl=READING' in block.do[0]
    assert not any(line.startswith(("Ready", "Wait")) for line in block.do)
    wall = document(result, METRIC).cards[0]
    assert "Set: Nothing new until the loggers agree" in wall.blocks[0].says
    table = short_stock_table(result.stock)
    at = table.heads.index("Ready")
    assert {row[at] for row in table.rows if row[-1] == BoardTask.LOGGERS} == {"not known"}
    assert "Then" not in table.heads
    assert any("Which logger is right" in line for line in block.not_known)
    assert block.set[0].startswith("Nothing new until the loggers agree")
    held = [f"{result.room.recent.emc_pct + off:.1f} %" for off in (0.0, result.pair.emc_pct)]
    assert all(one in block.says for one in held)


def test_the_years_of_shop_and_client_stand_side_by_side_with_one_verdict():
    result = for_client()
    table = month_table(result.client, INCH)
    assert [row[0] for row in table.rows][:2] == ["January", "February"]
    assert len(table.rows) == 12
    for one, row in zip(result.client.by_month, table.rows, strict=True):
        assert f"{one.room.emc_pct:.1f} %" in row[1]
        assert f"{one.client.rh_pct:.0f} % RH" in row[2]
    chart = months_chart(result.client)
    assert len(chart.readings) == 12
    said = " ".join([answer(result, INCH).says, *client_lines(result, INCH)]).lower()
    assert said.count(result.verdict) == 2
    for other in set(AirVerdict) - {result.verdict}:
        assert other not in said


def test_every_board_has_a_part_and_a_row_on_the_wall():
    words = Page(page_of()).text
    for board in result_of().stock.boards:
        assert words.count(board.board.name) >= 3
    assert "a table for the wall" in words


def test_warnings_that_hold_for_all_boards_are_said_once():
    text = " ".join(terminal.render(document(result_of(), INCH), full=True).split())
    assert text.count("stand faster drying") == 1
    assert text.count("ever more slowly") == 1


def test_no_verdict_is_told_by_colour_or_sign_alone():
    page = page_of()
    signs = re.findall(r'<svg class="mark"[^>]*><title>([^<]+)</title>', page)
    assert {"use", "wait", "keep out"} <= set(signs)
    words = Page(page).text
    for said in ("confirm, then use", "wait", "keep out until below"):
        assert said in words


def test_hostile_names_are_shown_and_never_run():
    result = result_of()
    boards = tuple(
        replace(one, board=replace(one.board, name=f"{HOSTILE} {n}"))
        for n, one in enumerate(result.stock.boards)
    )
    stock = replace(result.stock, boards=boards, stock=replace(result.stock.stock, name=HOSTILE))
    log = replace(result.log, files=(HOSTILE,))
    page = html.render(document(replace(result, stock=stock, log=log), INCH))
    assert "<script>alert" not in page
    assert "{{ 7 * 7 }}" in Page(page).text
    assert "49" not in re.findall(r"'co' (\S+)", Page(page).text)


def test_a_room_without_stock_has_a_page_of_its_air_alone():
    words = Page(html.render(document(result_of(with_stock=False), METRIC))).text
    assert "No target given: the room holds wood at" in words
    assert "Table for the wall" not in words


def test_sources_tell_how_each_figure_is_known():
    words = Page(page_of()).text
    for source in ("Hukka", "Wood Handbook", "common practice, no source"):
        assert source in words
    for mark in ("(memory)", "(read*)", "(read)"):
        assert mark in words


def test_the_room_picture_holds_the_target_band_between_its_edges():
    chart = room_chart(result_of(), METRIC)
    emc = chart.panels[0]
    assert emc.unit == "% in wood"
    heights = {float(y) for y in re.findall(r"[ML][\d.]+ ([\d.]+)", emc.areas[0].path)}
    ticks = {tick.label: tick.at for tick in emc.ticks}
    low, high = ticks["8"], ticks["10"]
    per_pct = (low - high) / 2
    # 7.0 give or take 0.5, measured from the tick of 8 %; drawing units are rounded to a tenth.
    expected = {low + per_pct * 1.5, low + per_pct * 0.5}
    assert sorted(heights) == pytest.approx(sorted(expected), abs=0.15)


def test_a_boards_picture_marks_its_readings_and_the_day_it_is_ready():
    boards = result_of().stock.boards
    marks = [mark.shape for mark in board_chart(boards[1], 2, INCH).panels[0].marks]
    assert marks == ["measured"] * 3 + ["holds"]
    assert board_chart(boards[4], 5, INCH) is None
    assert board_chart(boards[1], 1, INCH).key
    assert not board_chart(boards[1], 2, INCH).key


def test_units_stand_in_the_readers_order():
    inch, metric = (
        terminal.render(document(result_of(), say), full=True) for say in (INCH, METRIC)
    )
    assert "84 °F (29 °C)" in inch
    assert "1 1/8 in (28.6 mm)" in inch
    assert "°F" not in metric.split("The log")[0]
    assert "28.6 mm (1 1/8 in)" in metric
