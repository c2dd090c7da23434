"""The files of a run appear together or not at all, and never over another unasked."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from climlog.errors import UnusableInputError
from climlog.report import files
from climlog.report.files import DRAFT, Outbox, file_name, sweep

POSIX = pytest.mark.skipif(os.name != "posix", reason="links and devices of POSIX")


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


def put(folder, *names, **box):
    """Put a page of each name, and give the names they got."""
    outbox = Outbox(**box)
    for name in names:
        outbox.put_page(folder / name, "new")
    return [path.name for path in outbox.write()]


def test_a_page_gets_a_number_rather_than_overwriting(tmp_path):
    (tmp_path / "a.html").write_text("mine", encoding="utf-8")
    (tmp_path / "a-2.html").write_text("mine too", encoding="utf-8")
    assert put(tmp_path, "a.html") == ["a-3.html"]
    assert put(tmp_path, "a.html", replace=True) == ["a.html"]
    assert (tmp_path / "a-2.html").read_text(encoding="utf-8") == "mine too"


def test_two_pages_of_one_run_never_share_a_name(tmp_path):
    assert put(tmp_path, "a.html", "a.html", replace=True) == ["a.html", "a-2.html"]
    assert put(tmp_path, "a.html", "a.html", replace=True) == ["a.html", "a-2.html"]
    assert put(tmp_path, "b.html", "b.html") == ["b.html", "b-2.html"]


def test_a_page_does_not_take_the_place_of_a_named_file_of_its_run(tmp_path):
    box = Outbox(replace=True)
    box.reserve(tmp_path / "a.html")
    box.put(tmp_path / "a.html", "numbers")
    box.put_page(tmp_path / "a.html", "page")
    assert [one.name for one in box.write()] == ["a.html", "a-2.html"]
    assert (tmp_path / "a.html").read_text(encoding="utf-8") == "numbers"


def test_a_named_file_that_is_there_is_refused(tmp_path):
    path = tmp_path / "numbers.json"
    Outbox().reserve(path)
    path.write_text("mine", encoding="utf-8")
    with pytest.raises(UnusableInputError, match="add --replace"):
        Outbox().reserve(path)
    Outbox(replace=True).reserve(path)


def test_an_input_is_never_written_over_whatever_name_it_goes_by(tmp_path):
    log = tmp_path / "log.csv"
    log.write_text("rows", encoding="utf-8")
    os.link(log, tmp_path / "same.csv")
    for name in ("log.csv", "same.csv", "./sub/../log.csv"):
        (tmp_path / "sub").mkdir(exist_ok=True)
        with pytest.raises(UnusableInputError, match="read by this very run"):
            Outbox((log,), replace=True).reserve(tmp_path / name)
    with pytest.raises(UnusableInputError, match="read by this very run"):
        Outbox((tmp_path,), replace=True).reserve(log)
    Outbox((tmp_path,)).reserve(tmp_path / "new.csv")


def test_one_target_for_two_outputs_is_refused(tmp_path):
    box = Outbox()
    box.reserve(tmp_path / "x.json")
    with pytest.raises(UnusableInputError, match="two outputs"):
        box.reserve(tmp_path / "." / "x.json")


@POSIX
def test_links_to_nothing_devices_pipes_and_folders_are_refused(tmp_path):
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    os.mkfifo(tmp_path / "pipe")
    for path, says in (
        (tmp_path / "link", "a link to nothing"),
        (tmp_path / "pipe", "no plain file"),
        (Path("/dev/null"), "no plain file"),
        (tmp_path, "a folder"),
    ):
        with pytest.raises(UnusableInputError, match=says):
            Outbox(replace=True).reserve(path)
    assert not (tmp_path / "nowhere").exists()


@POSIX
def test_a_link_to_a_file_is_written_through(tmp_path):
    (tmp_path / "real.json").write_text("old", encoding="utf-8")
    (tmp_path / "link.json").symlink_to(tmp_path / "real.json")
    box = Outbox(replace=True)
    box.reserve(tmp_path / "link.json")
    box.put(tmp_path / "link.json", "new")
    box.write()
    assert (tmp_path / "link.json").is_symlink()
    assert (tmp_path / "real.json").read_text(encoding="utf-8") == "new"


@pytest.mark.parametrize("name", ["x" * 300 + ".json", "file/x.json"])
def test_a_name_that_no_folder_holds_is_one_clear_line(tmp_path, name):
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(UnusableInputError, match="cannot be written") as caught:
        Outbox().reserve(tmp_path / name)
    assert "x" * 200 not in str(caught.value)


def test_text_is_written_in_utf8_with_plain_newlines(tmp_path):
    box = Outbox()
    box.put(tmp_path / "deep" / "page.html", "ö\nend\n")
    box.write()
    assert (tmp_path / "deep" / "page.html").read_bytes() == "ö\nend\n".encode()
    assert len(list((tmp_path / "deep").iterdir())) == 1


def test_what_fails_halfway_leaves_everything_as_it_was(tmp_path):
    old = tmp_path / "old.json"
    old.write_text("old", encoding="utf-8")
    (tmp_path / "c.csv").mkdir()
    for box in (Outbox(), Outbox(replace=True)):
        box.put_page(tmp_path / "new" / "a.html", "a")
        if box.replace:
            box.put(old, "new")
        box.put(tmp_path / "c.csv", "no place: a folder is there")
        with pytest.raises(UnusableInputError, match=r"c\.csv"):
            box.write()
        assert sorted(one.name for one in tmp_path.iterdir()) == ["c.csv", "old.json"]
        assert old.read_text(encoding="utf-8") == "old"


def test_a_file_that_came_meanwhile_is_not_written_over(tmp_path):
    box = Outbox()
    box.reserve(tmp_path / "n.json")
    box.put(tmp_path / "n.json", "mine")
    (tmp_path / "n.json").write_text("theirs", encoding="utf-8")
    with pytest.raises(UnusableInputError, match="while this ran"):
        box.write()
    assert (tmp_path / "n.json").read_text(encoding="utf-8") == "theirs"


RIVAL = """
import sys, time
from pathlib import Path
from climlog.report.files import Outbox
folder, mark, begin = Path(sys.argv[1]), sys.argv[2], float(sys.argv[3])
while time.time() < begin: pass
for number in range(40):
    box = Outbox()
    box.put_page(folder / "same.html", f"{mark}{number}")
    box.put_page(folder / "other.html", f"{mark}{number}")
    box.write()
"""


def test_two_runs_into_one_folder_lose_nothing(tmp_path):
    import time

    begin = str(time.time() + 1.5)
    runs = [
        subprocess.Popen([sys.executable, "-c", RIVAL, str(tmp_path), mark, begin])
        for mark in ("a", "b")
    ]
    assert [one.wait() for one in runs] == [0, 0]
    for name in ("same", "other"):
        said = [one.read_text(encoding="utf-8") for one in tmp_path.glob(f"{name}*.html")]
        assert sorted(said) == sorted(f"{mark}{n}" for mark in "ab" for n in range(40))
    assert not list(tmp_path.glob(f"{DRAFT}*"))


KILLED = """
import os, sys
from pathlib import Path
from climlog.report import files
def die(*given): os._exit(9)
files._share_as_usual = die
box = files.Outbox()
box.put_page(Path(sys.argv[1]) / "page.html", "half")
box.write()
"""


def test_a_draft_of_a_killed_run_is_swept_by_the_next_and_a_living_one_is_not(tmp_path):
    done = subprocess.run([sys.executable, "-c", KILLED, str(tmp_path)], check=False)
    assert done.returncode == 9
    assert len(list(tmp_path.glob(f"{DRAFT}*"))) == 1
    assert put(tmp_path, "page.html") == ["page.html"]
    assert [one.name for one in tmp_path.iterdir()] == ["page.html"]


def test_what_was_kept_for_a_moment_is_swept_when_it_is_old(tmp_path, monkeypatch):
    kept = tmp_path / f"{files.KEPT}x"
    kept.write_text("old", encoding="utf-8")
    sweep(tmp_path)
    assert kept.exists()
    monkeypatch.setattr(files, "KEPT_FOR_S", -1.0)
    sweep(tmp_path)
    assert not kept.exists()


@POSIX
def test_a_draft_that_is_held_stays(tmp_path):
    import fcntl

    draft = tmp_path / f"{DRAFT}x"
    with draft.open("wb") as stream:
        fcntl.flock(stream.fileno(), fcntl.LOCK_EX)
        sweep(tmp_path)
        assert draft.exists()
    sweep(tmp_path)
    assert not draft.exists()
