"""Dropped files: kept in a private folder, under names that are no paths, within limits."""

import gzip
import io
import os
import subprocess
import sys

import pytest

from climlog.desk import uploads as module
from climlog.desk.uploads import LOCK, PREFIX, Uploads, private_uploads, safe_name, sweep
from climlog.errors import UnusableInputError


@pytest.mark.parametrize(
    "name",
    ["../../etc/passwd", "..\\..\\x.csv", "/abs.csv", "C:\\x.csv", "a\0b.csv", "con.csv", "..", "",
     "-o.csv", "x" * 4000, "a\nb.csv", "nul", "\u202egpj.csv", "a<b>.csv"],
)  # fmt: skip
def test_a_name_is_never_a_path(name, tmp_path):
    path = tmp_path / safe_name(name)
    assert path.parent == tmp_path
    assert path.resolve().parent == tmp_path.resolve()
    path.write_text("x", encoding="utf-8")
    assert not safe_name(name).startswith((".", "-"))


def test_a_file_lies_in_a_folder_of_its_own(tmp_path):
    kept = Uploads(tmp_path)
    one, other = (kept.add("same.csv", io.BytesIO(b"a\n")) for _ in range(2))
    assert one.path != other.path
    assert one.name == other.name == "same.csv"
    kept.remove(one.key)
    assert not one.path.exists()
    with pytest.raises(UnusableInputError, match="drop it on the page once more"):
        kept.get(one.key)


def test_too_many_rows_are_refused_packed_or_not(tmp_path, monkeypatch):
    monkeypatch.setattr(module, "MOST_ROWS", 10)
    rows = b"1,2\n" * 11
    for content in (rows, gzip.compress(rows), rows.replace(b"\n", b"\r")):
        with pytest.raises(UnusableInputError, match="more than 10 rows"):
            Uploads(tmp_path).add("long.csv", io.BytesIO(content))
    assert not list(tmp_path.iterdir())


def test_a_pack_that_unfolds_without_end_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(module, "LARGEST_UPLOAD_BYTES", 2**21)
    with pytest.raises(UnusableInputError, match="of text"):
        Uploads(tmp_path).add("bomb.gz", io.BytesIO(gzip.compress(bytes(2**24))))


def test_too_large_a_file_and_too_many_are_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(module, "LARGEST_UPLOAD_BYTES", 1000)
    kept = Uploads(tmp_path)
    with pytest.raises(UnusableInputError, match="larger than"):
        kept.add("big.csv", io.BytesIO(b"x" * 1001))
    monkeypatch.setattr(module, "MOST_UPLOADS", 1)
    kept.add("one.csv", io.BytesIO(b"x"))
    with pytest.raises(UnusableInputError, match="take some off"):
        kept.add("two.csv", io.BytesIO(b"x"))


def test_the_private_folder_goes_with_the_block():
    with private_uploads() as kept:
        kept.add("a.csv", io.BytesIO(b"x"))
        folder = kept.folder
        if os.name != "nt":
            assert folder.stat().st_mode & 0o077 == 0
    assert not folder.exists()


def test_what_a_killed_desk_left_is_taken_away_and_a_living_one_kept(tmp_path):
    script = (
        "import pathlib, sys, tempfile, time; tempfile.tempdir = sys.argv[1]\n"
        "from climlog.desk.uploads import private_uploads\n"
        "with private_uploads() as kept: print(kept.folder, flush=True); time.sleep(60)\n"
    )
    held = subprocess.Popen(
        [sys.executable, "-c", script, str(tmp_path)], stdout=subprocess.PIPE, text=True
    )
    try:
        held.stdout.readline()
        (folder,) = tmp_path.glob(f"{PREFIX}*")
        sweep(tmp_path)
        assert folder.exists()
    finally:
        held.kill()
        held.communicate()
    assert (folder / LOCK).exists()
    sweep(tmp_path)
    assert not folder.exists()
