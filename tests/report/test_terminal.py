"""A document in a terminal: the answer first and short, everything on demand, read in order."""

import re
from dataclasses import replace

import pytest

from climlog.report.document import Answer, Facts, Section, Sign, Table
from climlog.report.terminal import SHORT_LINES, render, render_several, table_lines
from tests.report.documents import ANSWER, document_of


def plain(text):
    return " ".join(text.split())


def test_the_answer_block_comes_first_and_whole():
    text = render(document_of())
    assert text.startswith(ANSWER.says)
    places = [text.index(word) for word in ("Set", "Do", "Odds", "Not known")]
    assert places == sorted(places)
    assert "1. Lengthen the kerfs." in text
    assert "2. Log a summer." in text
    assert ANSWER.odds in text


@pytest.mark.parametrize("width", [40, 80, 200])
def test_a_short_answer_stays_short_whatever_it_says(width, monkeypatch):
    monkeypatch.setenv("COLUMNS", str(width))
    long = "word " * 120
    answers = (ANSWER, Answer(Sign("close", "close"), long, (long,), (long, long), long, (long,)))
    for answer in answers:
        facts = Facts(tuple((f"fact {n}", long) for n in range(9)))
        lines = render(document_of(answer, facts=facts)).splitlines()
        assert len(lines) <= SHORT_LINES
        assert max(map(len, lines)) <= max(width, 41)
        assert "--full" in lines[-1]


def test_what_a_short_answer_leaves_out_is_counted():
    long = Answer(
        Sign("close", "close"), "Close.", not_known=tuple(f"Line {n}." for n in range(60))
    )
    text = render(document_of(long))
    shown = len(re.findall(r"Line \d+\.", text))
    (left,) = re.findall(r"\.\.\. (\d+) more lines", text)
    assert shown + int(left) == 60


def test_all_of_it_is_shown_on_demand():
    text = plain(render(document_of(), full=True))
    for said in (
        "Each alone, the worst first.", "runs out", "holds, 12 % used", "none at all truly",
        "All together: 1. First. 2. Second.", "Left. Right.",
    ):  # fmt: skip
        assert said in text
    assert "Nothing to say" not in text
    assert "Only to look at" not in text
    assert "--full" not in text


def test_a_table_stands_in_columns_or_in_sentences_as_the_width_allows(monkeypatch):
    monkeypatch.setenv("COLUMNS", "100")
    wide = render(document_of(), full=True)
    assert re.search(r"Number +Needs +Verdict", wide)
    heads = tuple(f"head {n}" for n in range(8))
    table = Table("Many columns.", heads, (tuple(f"cell number {n}" for n in range(8)),))
    monkeypatch.setenv("COLUMNS", "60")
    section = Section("many", "Many", (table,))
    narrow = plain(render(document_of(sections=(section,)), full=True))
    assert "cell number 0. head 1: cell number 1; head 2: cell number 2;" in narrow


def test_names_are_wrapped_before_a_table_falls_into_sentences(monkeypatch):
    monkeypatch.setenv("COLUMNS", "60")
    heads = ("Board", *(f"head {n}" for n in range(5)))
    row = ("walnut for the longest legs", *(f"cell {n}" for n in range(5)))
    section = Section("many", "Many", (Table("Columns.", heads, (row,)),))
    lines = render(document_of(sections=(section,)), full=True).splitlines()
    at = next(n for n, line in enumerate(lines) if line.strip().startswith("walnut"))
    assert lines[at].split()[-10:] == " ".join(row[1:]).split()
    assert " ".join([lines[at].split("  cell")[0], lines[at + 1]]).split() == row[0].split()
    assert all(len(line) < 60 for line in lines[at - 1 : at + 2])


@pytest.mark.parametrize("width", [60, 72, 80, 100])
def test_a_table_stays_a_table_where_its_words_fit_the_width(width, monkeypatch):
    monkeypatch.setenv("COLUMNS", str(width))
    heads = ("Number", "Fastening", "Needs", "Has", "Runs out in, of 100", "Verdict")
    rows = (
        ("7-14", "Figure-eight plates, rail along the grain", "9/32 in / 1/16 in",
         "1/64 in / 1/64 in", "100", "runs out"),
        ("2, 5", "Pins", "none / none", "1/8 in / 1/8 in", "0", "holds"),
    )  # fmt: skip
    lines = table_lines(Table("", heads, rows))
    assert max(map(len, lines)) < width
    text = "\n".join(lines)
    assert "Fastening:" not in text
    assert not re.search(r"\d\s*$", text.replace("100", "").replace("14", ""), re.MULTILINE)
    at = [lines[0].index(head.split()[0]) for head in heads]
    for number, row in enumerate(rows):
        first = next(n for n, line in enumerate(lines) if line.strip().startswith(row[0]))
        last = len(lines) if number else next(
            n for n, line in enumerate(lines) if line.strip().startswith(rows[1][0])
        )  # fmt: skip
        for begin, end, cell in zip(at, [*at[1:], None], row, strict=True):
            stood = " ".join(line[begin:end].strip() for line in lines[first:last])
            assert " ".join(stood.split()) == cell


def test_a_column_without_a_word_is_left_out():
    rows = (("1", "", "holds", ""), ("2", "", "holds", ""))
    lines = table_lines(Table("", ("Number", "From", "Verdict", "Until"), rows))
    assert [line.split() for line in lines] == [
        ["Number", "Verdict"],
        ["1", "holds"],
        ["2", "holds"],
    ]
    assert table_lines(Table("", ("Number", "Verdict"), (("1", ""),))) == ["  Number", "  1"]


def test_a_table_that_would_be_ladders_of_words_is_told_in_sentences(monkeypatch):
    monkeypatch.setenv("COLUMNS", "60")
    prose = "a good many short words that go on and on until the sun is down again " * 3
    heads = ("Board", "When it is ready", *(f"another heading {n}" for n in range(3)))
    rows = (("oak", prose, *("not at all of it",) * 3),)
    lines = table_lines(Table("", heads, rows))
    assert lines[0].strip().startswith("oak. When it is ready: a good many")


def test_several_documents_begin_with_one_table_and_say_once_what_they_share():
    one, other = document_of(), replace(document_of(), subject="Ash table")
    own = Section("own", "Own", other.sections[0].blocks)
    other = replace(other, sections=(own, *other.sections[1:]))
    overview = Table("Pieces.", ("Piece", "Verdict"), (("Oak table", "x"), ("Ash table", "y")))
    short = render_several([one, other], overview)
    assert short.startswith("Pieces.")
    assert len(short.splitlines()) <= SHORT_LINES
    full = render_several([one, other], overview, full=True)
    assert full.count("Left.") == 1
    assert full.count("Each alone, the worst first.") == 2
    assert full.index("Ash table\n=") < full.index("Left.")
