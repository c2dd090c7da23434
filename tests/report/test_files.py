"""Files are written whole or not at all, and never over another unasked."""

import pytest

from climlog.errors import UnusableInputError
from climlog.report.files import file_name, free_path, refuse_existing, write_whole


@pytest.mark.parametrize(
    ("words", "name"),
    [
        (("place", "Ferry-house <b>table</b>"), "place-ferry-house-b-table-b"),
        (("Café Tisch",), "cafe-tisch"),
        (("../../etc/passwd",), "etc-passwd"),
        (("con",), "con-file"),
        (("???",), "page"),
        (("x" * 300,), "x" * 60),
    ],
)
def test_names_are_safe_on_every_system(words, name):
    assert file_name(*words) == name


def test_a_page_gets_a_number_rather_than_overwriting(tmp_path):
    (tmp_path / "a.html").write_text("mine", encoding="utf-8")
    (tmp_path / "a-2.html").write_text("mine too", encoding="utf-8")
    assert free_path(tmp_path, "a", ".html", replace=False) == tmp_path / "a-3.html"
    assert free_path(tmp_path, "a", ".html", replace=True) == tmp_path / "a.html"


def test_a_named_file_that_is_there_is_refused(tmp_path):
    path = tmp_path / "numbers.json"
    refuse_existing(path, replace=False)
    path.write_text("mine", encoding="utf-8")
    with pytest.raises(UnusableInputError, match="add --replace"):
        refuse_existing(path, replace=False)
    refuse_existing(path, replace=True)


def test_text_is_written_in_utf8_with_plain_newlines(tmp_path):
    write_whole(tmp_path / "deep" / "page.html", "ö\nend\n")
    assert (tmp_path / "deep" / "page.html").read_bytes() == "ö\nend\n".encode()


def test_a_failed_write_leaves_nothing_behind(tmp_path):
    with pytest.raises(UnicodeEncodeError):
        write_whole(tmp_path / "page.html", "half \ud800")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_cannot_be_made_is_one_clear_line(tmp_path):
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(UnusableInputError, match="cannot be written"):
        write_whole(tmp_path / "file" / "page.html", "text")
