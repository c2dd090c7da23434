"""A document as a page: whole, escaped, alone, headed in order, and nothing lost on the way."""

import re
from dataclasses import fields, is_dataclass, replace
from html.parser import HTMLParser
from itertools import pairwise

from climlog.report.document import Card, Section
from climlog.report.html import render
from tests.report.documents import document_of, said_by

VOID = {"meta", "link", "br", "img", "hr", "input", "col"}
HOSTILE = "<script>alert(\"x\")</script> & 'co' {{ 7 * 7 }} </title></style>"


class Page(HTMLParser):
    """Collects what the tests ask for; refuses tags that do not close in order."""

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.open, self.tags, self.headings, self.svgs, self.words = [], [], [], [], []
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        self.handle_startendtag(tag, attrs)
        if tag == "svg":
            self.svgs.append([])
        if re.fullmatch(r"h[1-6]", tag):
            self.headings.append((int(tag[1]), ""))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if self.open and self.open[-1] == "svg":
            self.svgs[-1].append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open and self.open[-1] not in ("style", "script"):
            self.words.append(data)
        if self.open and re.fullmatch(r"h[1-6]", self.open[-1]):
            level, words = self.headings[-1]
            self.headings[-1] = (level, words + data)

    def named(self, tag):
        return [attrs for name, attrs in self.tags if name == tag]

    @property
    def text(self):
        return " ".join("".join(self.words).split())


def test_nothing_that_a_document_says_is_lost_on_its_page():
    document = document_of()
    page = Page(render(document))
    sections = tuple(one for one in document.sections if one.blocks)
    for said in said_by(replace(document, sections=sections)):
        assert " ".join(said.split()) in page.text


def test_the_page_asks_nobody_for_anything():
    text = render(document_of())
    page = Page(text)
    assert page.named("link") == page.named("img") == page.named("iframe") == []
    assert all("src" not in attrs for _, attrs in page.tags)
    assert all((attrs.get("href") or "#").startswith("#") for _, attrs in page.tags)
    assert not re.search(r"https?:|@import|url\((?!#)", text)
    policy = next(a["content"] for a in page.named("meta") if "http-equiv" in a)
    assert policy.startswith("default-src 'none'")


def test_every_drawing_begins_with_a_title():
    page = Page(render(document_of()))
    assert len(page.svgs) >= 8
    assert all(children[0] == "title" for children in page.svgs)


def test_headings_stand_in_order_and_landmarks_are_there():
    page = Page(render(document_of()))
    levels = [level for level, _ in page.headings]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b - a <= 1 for a, b in pairwise(levels))
    for landmark in ("header", "main", "nav", "aside"):
        assert len(page.named(landmark)) == 1


def test_every_table_head_says_what_it_heads():
    page = Page(render(document_of()))
    assert {attrs.get("scope") for attrs in page.named("th")} == {"col", "row"}
    assert len(page.named("caption")) == len(page.named("table"))


def test_links_and_labels_lead_somewhere_and_no_name_stands_twice():
    page = Page(render(document_of()))
    names = [attrs["id"] for _, attrs in page.tags if attrs.get("id")]
    assert len(names) == len(set(names))
    for _, attrs in page.tags:
        wanted = (attrs.get("aria-labelledby") or "").split()
        if (attrs.get("href") or "").startswith("#"):
            wanted.append(attrs["href"][1:])
        assert set(wanted) <= set(names)


def test_a_section_without_words_is_not_named():
    page = Page(render(document_of()))
    assert "Nothing to say" not in page.text


def hostile(record):
    """The same record with every text turned hostile; anchors, styles and drawings stay."""
    if isinstance(record, str):
        return HOSTILE
    if isinstance(record, tuple):
        return tuple(hostile(one) for one in record)
    if is_dataclass(record) and not type(record).__module__.startswith("climlog.report.drawing"):
        kept = {"shape", "tone", "media", "ordered", "half_sheet", "widths"}
        if isinstance(record, Section | Card):
            kept.add("key")
        changed = {
            one.name: hostile(getattr(record, one.name))
            for one in fields(record)
            if one.name not in kept
        }
        return replace(record, **changed)
    return record


def test_words_with_markup_come_out_as_they_were_written():
    text = render(hostile(document_of()))
    page = Page(text)
    assert len(page.named("script")) == 2
    assert sum(part.count("<script>alert") for part in page.words) > 30
    assert "<script>alert" not in text
