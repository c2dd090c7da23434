"""Every answer is read in one look, every letter is twelve plain lines: of each verdict and kind.

Words are counted as a reader meets them: what blanks part, figures and units too; names of rows
("Set", "Do") are not. Words of a name that the maker gave, of a board or a piece, do not count.
"""

import re
from dataclasses import replace
from datetime import date
from functools import cache

import pytest

from climlog.analysis.look import analyse_look
from climlog.errors import UnusableInputError
from climlog.report.crack.document import document as crack_document
from climlog.report.document import MOST_IN_BLOCK, MOST_IN_HEADLINE, MOST_TO_DO, Imprint
from climlog.report.letter import MOST_LINES, WIDE, render
from climlog.report.look import documents
from climlog.report.phrases import Say
from climlog.report.place.document import document as place_document
from climlog.report.place.range_document import range_document
from climlog.report.room.answer import beside_table
from climlog.report.room.document import document as room_document
from climlog.report.room.stock import short_stock_table
from climlog.report.terminal import render as terminal
from climlog.report.terminal import render_with
from tests.places import SAMPLES
from tests.report.blocks import CRACK, PLACE, RANGE, ROOM

INCH, METRIC = Say("inch"), Say("metric")
JOBS = {
    "place": (PLACE, place_document), "range": (RANGE, range_document),
    "room": (ROOM, room_document), "crack": (CRACK, crack_document),
}  # fmt: skip
QUICK = {
    "place": ("dining_table", "wide_top_slots", "close", "no fastenings, three weeks",
              "one clip, rails open"),
    "range": tuple(RANGE),
    "room": ("the sample", "no stock", "loggers that differ", "a target of mould"),
    "crack": ("held",),
}  # fmt: skip
"""Cases looked at in every run; the others take a minute and are marked as slow."""


def cases_of(*jobs):
    return [
        pytest.param(job, name, marks=() if name in QUICK[job] else pytest.mark.slow)
        for job in jobs
        for name in JOBS[job][0]
    ]


ALL, WITH_LETTER = cases_of(*JOBS), cases_of("place", "room", "crack")
LINES = 24
"""Of a short answer; the command adds one that says where the page is."""
ARGUED = {
    # What is to be done is two steps of eighteen words, a new kind with its sizes on either rail:
    # half of it may not hold. The year is projected, so what would settle it is said too.
    ("place", "dining_table projected"): 72,
    ("place", "a house alone, runs out"): 72,
    ("place", "breadboard_table projected"): 66,
    # Three steps: take out, shift, lengthen. Two of them alone do not hold.
    ("place", "slab"): 64,
    # A plan: what goes on either kind of rail, with the sizes to cut.
    ("place", "no fastenings"): 64,
    ("place", "no fastenings, no moisture"): 74,
    # What to fix it at, or else what to give it; and the two questions that decide.
    ("range", "rails open"): 72,
    # An air was asked to be tried: what it holds is said beside what to set.
    ("room", "tried"): 75,
    ("room", "tried, none keeps it"): 80,
    # Nine ready, three to take out, three to wait for: each line says how many it does not name.
    ("room", "fifteen boards"): 66,
}
"""Where sixty words do not hold what is to be done, and the limit that stands."""
NOT_A_CLIENTS = re.compile(
    r"\bEMC\b|\bRH\b|set ?point|permeance|percentile|numbers? \d|--|\blogger|travel|EN 15757|\bklog"
)
SIGNED = Imprint("Alder Lane Joinery", "Ms Rowan", date(2026, 3, 16), "0.2.0")
LONG = "The long and winding name of a thing that somebody gave to it without an end in sight, " * 9


@cache
def result_of(job, name):
    return JOBS[job][0][name]()


@cache
def document_of(job, name, units="inch"):
    return JOBS[job][1](result_of(job, name), Say(units))


def names_in(job, result):
    """Names that the maker gave, which may be as long as they are."""
    if job == "room":
        boards = () if result.stock is None else result.stock.boards
        pieces = () if result.client is None else result.client.pieces
        return [one.board.name for one in boards] + [one.piece.name for one in pieces]
    return [result.piece.name]


def own_words(text, names):
    for name in sorted(names, key=len, reverse=True):
        text = text.replace(name, "")
    return sum(bool(re.search(r"[\w%]", one)) for one in text.split())


def said(answer):
    return [answer.says, *(line for _, lines in answer.rows for line in lines)]


@pytest.mark.parametrize("units", ["inch", "metric"])
@pytest.mark.parametrize(("job", "name"), ALL)
def test_the_block_is_read_in_one_look(job, name, units):
    answer = document_of(job, name, units).answer
    names = names_in(job, result_of(job, name))
    assert own_words(answer.headline, names) <= MOST_IN_HEADLINE
    assert answer.further == ""
    counted = sum(own_words(line, names) for line in said(answer))
    assert counted <= ARGUED.get((job, name), MOST_IN_BLOCK), said(answer)
    assert len(answer.do) <= MOST_TO_DO


@pytest.mark.slow
def test_no_limit_is_argued_for_that_the_sixty_words_hold():
    for job, name in ARGUED:
        names = names_in(job, result_of(job, name))
        answers = [document_of(job, name, units).answer for units in ("inch", "metric")]
        counts = [sum(own_words(line, names) for line in said(one)) for one in answers]
        assert max(counts) > MOST_IN_BLOCK, (job, name, counts)


@pytest.mark.parametrize(("job", "name"), ALL)
def test_the_short_answer_fits_a_terminal(job, name, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    document, result = document_of(job, name), result_of(job, name)
    text = terminal(document)
    if job == "room" and result.stock is not None:
        table = short_stock_table(result.stock)
        text = render_with(document, table, brief=(beside_table(result, INCH), table))
    lines = text.splitlines()
    assert len(lines) <= LINES
    assert max(map(len, lines)) < 80
    for line in document.answer.says.split():
        assert line in text


def letter_of(document):
    """Give the letter, or nothing where it is withheld with a reason."""
    if not document.letter.withheld:
        return render(document)
    with pytest.raises(UnusableInputError, match=re.escape(document.letter.withheld)):
        render(document)
    return ""


@pytest.mark.parametrize(("job", "name"), WITH_LETTER)
def test_a_letter_is_twelve_plain_lines_or_a_reason(job, name):
    document = document_of(job, name).signed(SIGNED)
    is_known = document.answer.verdict.word not in ("not known", "no target given")
    text = letter_of(document)
    asked_first = job == "place" and result_of(job, name).piece.undecided
    assert bool(text) == (is_known and not asked_first)
    lines = [line for line in text.splitlines() if line]
    assert len(lines) <= MOST_LINES
    assert all(len(line) <= WIDE for line in lines)
    assert not NOT_A_CLIENTS.search(text), text
    assert not re.search(r"\d\n(%|in\b|mm\b|°)", text)
    assert "  " not in text


def long_named(job, result):
    """The same with names without an end."""
    if job == "room":
        if result.stock is None:
            return result
        boards = tuple(
            replace(one, board=replace(one.board, name=f"{LONG} {at}"))
            for at, one in enumerate(result.stock.boards)
        )
        return replace(result, stock=replace(result.stock, boards=boards))
    piece = replace(result.piece, name=LONG)
    if job == "crack":
        return replace(result, place=replace(result.place, piece=piece))
    return replace(result, piece=piece)


@pytest.mark.parametrize(("job", "name"), WITH_LETTER)
def test_names_without_an_end_make_no_letter_longer(job, name):
    made = JOBS[job][1](long_named(job, result_of(job, name)), METRIC)
    text = letter_of(made.signed(Imprint(LONG, LONG, date(2026, 3, 16), "0.2.0")))
    lines = [line for line in text.splitlines() if line]
    assert len(lines) <= MOST_LINES
    assert all(len(line) <= WIDE for line in lines)
    if lines:
        assert lines[-1] == "16 March 2026"
        assert lines[0].startswith("Dear The long")


@pytest.mark.slow
def test_a_letter_promises_no_change_before_a_year_is_known():
    text = " ".join(letter_of(document_of("place", "dining_table in three weeks")).split())
    assert "not known yet" in text
    assert "after that it is" not in text


@pytest.mark.slow
def test_a_letter_tells_the_odds_that_the_answers_own_change_leaves():
    floor = result_of("place", "floor")
    text = " ".join(letter_of(document_of("place", "floor")).split())
    assert f"after that it is {round(100 * floor.plan.odds)} of 100" in text
    top = result_of("place", "dining_table")
    text = " ".join(letter_of(document_of("place", "dining_table")).split())
    assert f"after that it is {round(100 * top.remedies[0].odds)} of 100" in text


def test_what_the_block_leaves_out_stands_in_a_section_of_its_own():
    for job, name in (("place", "no fastenings, three weeks"), ("room", "loggers that differ")):
        document = document_of(job, name)
        (section,) = (one for one in document.sections if one.key == "open")
        (lines,) = section.blocks
        assert len(lines.lines) >= len(document.answer.not_known)


@pytest.mark.slow
def test_one_thing_is_told_as_one():
    drawer = document_of("place", "drawer front").answer
    assert "the pin and the edge" in drawer.says
    assert "edges" not in drawer.says


def test_a_look_at_a_log_is_as_short():
    for name in ("ferry_house_dining_room", "three_weeks_phone", "drying_room", "shop"):
        (document,) = documents(analyse_look([SAMPLES / f"{name}.csv"]).logs, INCH)
        assert len(document.answer.headline.split()) <= MOST_IN_HEADLINE
        assert document.answer.words <= MOST_IN_BLOCK, said(document.answer)
        assert dict(document.facts.rows)["Readings"].count(" to ") == 1
