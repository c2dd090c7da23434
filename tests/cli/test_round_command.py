"""climlog round as a person runs it: once, again with new readings, and with files that fail."""

import json
import os
import signal
import subprocess
import sys
import time

import pytest
from click.testing import CliRunner

from climlog.cli import main
from tests.cli.museum import open_museum, write_log, write_piece
from tests.places import ROOT, SAMPLES

FOLDER = "round-small-museum"


def run(file, *words):
    out = file.parent / "out"
    return CliRunner().invoke(main, ["round", str(file), "--out", str(out), *map(str, words)])


def numbers_of(file):
    return json.loads((file.parent / "out" / FOLDER / "round.json").read_text(encoding="utf-8"))


def files_of(file):
    return {path.name: path.read_bytes() for path in (file.parent / "out" / FOLDER).iterdir()}


@pytest.fixture(scope="module")
def gone(tmp_path_factory):
    file = open_museum(tmp_path_factory.mktemp("museum"))
    result = run(file)
    assert result.exit_code == 0, result.output
    return file, result.stdout


def test_the_worst_stands_first_in_all_three(gone):
    file, text = gone
    rows = numbers_of(file)["rows"]
    assert [row["verdict"] for row in rows] == ["runs out", "holds"]
    assert rows[0]["place"] == "Chapel"
    assert text.index("Chapel, Altar table  ") < text.index("Hall, Oak bench  ")
    page = files_of(file)["index.html"].decode()
    assert page.index(">Chapel, Altar table</a>") < page.index(">Hall, Oak bench</a>")


def test_the_answer_counts_and_fits_into_25_lines(gone):
    _, text = gone
    assert text.startswith("Of 2 pieces 1 runs out and 1 holds.")
    assert len(text.splitlines()) <= 25


def test_every_link_of_the_index_leads_to_a_page(gone):
    file, _ = gone
    files = files_of(file)
    pages = {row["page"] for row in numbers_of(file)["rows"]}
    assert pages == {"chapel--pieces-altar.html", "hall--pieces-bench.html"}
    assert pages < set(files)
    for page in pages:
        assert f'href="{page}"' in files["index.html"].decode()


def test_a_row_says_what_its_own_page_says(gone):
    file, _ = gone
    for row in numbers_of(file)["rows"]:
        page = files_of(file)[row["page"]].decode()
        assert row["says"] in page.replace("\N{NO-BREAK SPACE}", " ")


def test_the_same_verdict_as_the_piece_run_alone(gone, tmp_path):
    file, _ = gone
    words = ["place", str(file.parent / "logs" / "chapel.csv"), "--json", "-",
             "--piece", str(file.parent / "pieces" / "altar.toml")]  # fmt: skip
    alone = json.loads(CliRunner().invoke(main, words).stdout)
    row = numbers_of(file)["rows"][0]
    assert row["share_of_draws"] == alone["as_a_set"]["share_of_draws"]
    assert row["verdict"] == alone["as_a_set"]["verdict"]
    # Whole, for half of a change may not hold.
    told = " ".join(numbers_of(file)["answer"]["do"])
    assert alone["answer"]["do"]
    assert all(step in told for step in alone["answer"]["do"])


def test_the_same_files_again_change_nothing(tmp_path):
    file = open_museum(tmp_path)
    run(file)
    before = files_of(file)
    result = run(file)
    assert "Nothing changed since the last round." in " ".join(result.stdout.split())
    after = files_of(file)
    assert set(after) == set(before)
    assert all(row["change"] is None for row in numbers_of(file)["rows"])
    own = {name for name in after if "--" in name}
    assert {name: after[name] for name in own} == {name: before[name] for name in own}


def test_one_changed_log_changes_its_own_rows_and_says_why(tmp_path):
    file = open_museum(tmp_path)
    run(file)
    write_log(tmp_path / "logs" / "hall.csv", 45, step=45)
    result = run(file)
    rows = {row["place"]: row["change"] for row in numbers_of(file)["rows"]}
    assert rows["Chapel"] is None
    assert rows["Hall"]["why"] == ["new readings"]
    assert rows["Hall"]["was"] == "holds"
    assert rows["Hall"]["is_told_anew"]
    flat = " ".join(result.stdout.split())
    assert "Changed: Hall, Oak bench (holds before, now runs out)." in flat


def test_a_changed_sheet_and_a_changed_entry_are_told_apart(tmp_path):
    file = open_museum(tmp_path)
    run(file)
    write_piece(tmp_path / "pieces" / "altar.toml", "Altar table", "slot")
    text = file.read_text(encoding="utf-8").replace('name = "Hall"', 'name = "Hall"\nrh_offset = 1')
    file.write_text(text, encoding="utf-8")
    run(file)
    why = {row["place"]: row["change"]["why"] for row in numbers_of(file)["rows"]}
    assert why["Chapel"] == ["its sheet changed"]
    assert why["Hall"] == ["what the round file says of its place, or the units, changed"]


def test_a_piece_that_left_the_round_is_named(tmp_path):
    file = open_museum(tmp_path)
    run(file)
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('pieces = "pieces/bench.toml"\n', ""), encoding="utf-8")
    result = run(file, "--full")
    assert "No longer in the round: Hall, pieces/bench.toml." in result.stdout
    assert {row["kind"] for row in numbers_of(file)["rows"]} == {"piece", "room"}


def test_what_cannot_be_read_is_a_row_and_the_others_go_on(tmp_path):
    file = open_museum(tmp_path)
    (tmp_path / "logs" / "hall.csv").write_text("no log at all\n", encoding="utf-8")
    sheet = tmp_path / "pieces" / "altar.toml"
    sheet.write_text(sheet.read_text(encoding="utf-8").replace("red oak", "read oak"), "utf-8")
    result = run(file)
    assert result.exit_code == 0, result.output
    rows = {row["place"]: row for row in numbers_of(file)["rows"]}
    assert {row["verdict"] for row in rows.values()} == {"not read"}
    assert "hall.csv" in rows["Hall"]["says"]
    assert "red oak" in rows["Chapel"]["says"]
    assert "\n" not in rows["Chapel"]["says"]
    assert rows["Chapel"]["page"] == ""


def test_a_place_that_fails_once_has_not_lost_its_pieces(tmp_path):
    file = open_museum(tmp_path)
    log = tmp_path / "logs" / "hall.csv"
    good = log.read_bytes()
    run(file)
    log.write_bytes(b"no log at all\n")
    run(file)
    failed = numbers_of(file)
    assert failed["gone"] == []
    row = next(row for row in failed["rows"] if row["place"] == "Hall")
    assert row["change"]["why"] == ["it was read last time"]
    assert "Changed: Hall (read before, now not read)." in failed["answer"]["says"]
    log.write_bytes(good)
    text = run(file).stdout
    line = next(line for line in text.splitlines() if line.startswith("  Hall, Oak bench "))
    assert line.split()[-2:] == ["not", "read"]
    said = numbers_of(file)["answer"]["says"]
    assert "Changed: Hall, Oak bench (not read before, now holds)." in said
    row = next(row for row in numbers_of(file)["rows"] if row["place"] == "Hall")
    assert row["change"]["why"] == ["it could not be read last time"]


def test_a_question_that_a_log_leaves_open_is_told_as_lines_of_the_file(tmp_path):
    file = open_museum(tmp_path)
    log = tmp_path / "logs" / "hall.csv"
    rows = [f"03/04/2025 {hour:02}:00,20,45" for hour in range(24)]
    log.write_text("\n".join(["time,temperature (°C),humidity (%)", *rows]), encoding="utf-8")
    run(file)
    row = next(row for row in numbers_of(file)["rows"] if row["place"] == "Hall")
    assert 'under [[place]] write date_order = "day-first"' in row["says"]
    assert "--date-order" not in row["says"]


def test_a_pattern_that_matches_nothing_is_trouble_of_its_place_alone(tmp_path):
    file = open_museum(tmp_path)
    text = file.read_text(encoding="utf-8").replace("logs/hall.csv", "logs/attic*.csv")
    file.write_text(text, encoding="utf-8")
    run(file)
    rows = {row["place"]: row for row in numbers_of(file)["rows"]}
    assert rows["Hall"]["says"] == 'logs: "logs/attic*.csv": matches no file'
    assert rows["Chapel"]["verdict"] == "runs out"


def test_a_sheet_that_is_missing_is_its_own_row_and_the_others_of_its_place_go_on(tmp_path):
    file = open_museum(tmp_path)
    text = file.read_text(encoding="utf-8").replace(
        '"pieces/altar.toml"', '["pieces/gone.toml", "pieces/altar.toml", "new/*.toml"]'
    )
    file.write_text(text, encoding="utf-8")
    run(file)
    rows = {row["sheet"]: row for row in numbers_of(file)["rows"]}
    assert rows["pieces/altar.toml"]["verdict"] == "runs out"
    assert rows["pieces/gone.toml"]["says"] == 'pieces: "pieces/gone.toml": no such file'
    assert rows["new/*.toml"]["says"] == 'pieces: "new/*.toml": matches no file'


def test_the_table_says_what_each_row_was_and_why_it_is_not_as_it_was(tmp_path):
    file = open_museum(tmp_path)
    run(file)
    assert ">Last round<" not in files_of(file)["index.html"].decode()
    write_log(tmp_path / "logs" / "hall.csv", 45, step=45)
    run(file)
    index = files_of(file)["index.html"].decode()
    row = index[index.index(">Hall, Oak bench</a>") :].partition("</tr>")[0]
    assert "Was holds (0 of 100)" in row
    assert "New readings" in row
    assert index.index("Since the last round") < index.index("Worst first.")


def test_a_log_that_an_event_names_outside_the_folder_is_not_read(tmp_path):
    write_log(tmp_path / "elsewhere.csv", 30)
    file = open_museum(tmp_path / "museum")
    sheet = tmp_path / "museum" / "pieces" / "altar.toml"
    event = '[[what_if]]\nkind = "move"\nstart = 2025-02-01\nlog = "../../elsewhere.csv"\n'
    sheet.write_text(sheet.read_text(encoding="utf-8") + event, encoding="utf-8")
    run(file)
    row = next(row for row in numbers_of(file)["rows"] if row["place"] == "Chapel")
    assert row["verdict"] == "not read"
    assert "leaves the folder of the round file" in row["says"]


def test_a_log_read_long_ago_is_told(tmp_path):
    file = open_museum(tmp_path)
    write_log(tmp_path / "logs" / "hall.csv", 45, days=30)
    result = run(file)
    flat = " ".join(result.stdout.split())
    assert "No new readings: Hall since 30 Jan 2025." in flat


def test_numbers_on_the_screen_leave_no_page(tmp_path):
    file = open_museum(tmp_path)
    result = run(file, "--json", "-")
    found = json.loads(result.stdout)
    assert found["schema"] == 2
    assert list(found)[1] == "answer"
    assert not (tmp_path / "out").exists()


def test_an_index_of_something_else_is_not_written_over(tmp_path):
    file = open_museum(tmp_path)
    own = tmp_path / "out" / FOLDER / "index.html"
    own.parent.mkdir(parents=True)
    own.write_text("mine", encoding="utf-8")
    result = run(file)
    assert result.exit_code == 1
    assert own.read_text(encoding="utf-8") == "mine"
    assert run(file, "--replace").exit_code == 0


def test_a_last_round_that_cannot_be_read_is_said(tmp_path):
    file = open_museum(tmp_path)
    run(file)
    (tmp_path / "out" / FOLDER / "round.json").write_text("{}", encoding="utf-8")
    assert run(file).exit_code == 1
    result = run(file, "--replace")
    assert result.exit_code == 0
    assert "not compared with the last round" in result.stderr
    assert not numbers_of(file)["is_compared"]


@pytest.mark.parametrize("name", ["round.json", "chapel--pieces-altar.html"])
def test_no_file_that_a_round_did_not_leave_is_written_over(tmp_path, name):
    file = open_museum(tmp_path)
    own = tmp_path / "out" / FOLDER / name
    own.parent.mkdir(parents=True)
    own.write_text("mine", encoding="utf-8")
    result = run(file)
    assert result.exit_code == 1
    assert "not of a round" in result.stderr
    assert own.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("name", ["round.json", "index.html"])
def test_nothing_is_written_through_a_link_or_onto_a_folder(tmp_path, name):
    file = open_museum(tmp_path)
    outside, folder = tmp_path / "mine.txt", tmp_path / "out" / FOLDER
    outside.write_text("mine", encoding="utf-8")
    folder.mkdir(parents=True)
    (folder / name).mkdir()
    assert run(file, "--replace").exit_code == 1
    assert [path.name for path in folder.iterdir()] == [name]
    (folder / name).rmdir()
    try:
        (folder / name).symlink_to(outside)
    except OSError:
        pytest.skip("no links can be made here")
    assert run(file, "--replace").exit_code == 1
    assert outside.read_text(encoding="utf-8") == "mine"


def test_two_round_files_of_one_name_do_not_share_their_pages(tmp_path):
    one, other = (open_museum(tmp_path / name) for name in ("north", "south"))
    out = tmp_path / "out"
    both = [["round", str(file), "--out", str(out)] for file in (one, other)]
    assert CliRunner().invoke(main, both[0]).exit_code == 0
    before = {path.name: path.read_bytes() for path in (out / FOLDER).iterdir()}
    refused = CliRunner().invoke(main, both[1])
    assert refused.exit_code == 1
    assert "has the round of another file of that name" in refused.stderr
    assert {path.name: path.read_bytes() for path in (out / FOLDER).iterdir()} == before
    # Moved together, file and pages still belong together.
    (tmp_path / "moved").mkdir()
    for name in ("north", "out"):
        (tmp_path / name).rename(tmp_path / "moved" / name)
    words = ["round", str(tmp_path / "moved" / "north" / one.name)]
    again = CliRunner().invoke(main, [*words, "--out", str(tmp_path / "moved" / "out")])
    assert "Nothing changed since the last round." in " ".join(again.stdout.split())


def test_the_numbers_of_a_round_do_not_go_among_its_own_files(tmp_path):
    file = open_museum(tmp_path)
    result = run(file, "--json", tmp_path / "out" / FOLDER / "index.html")
    assert result.exit_code == 1
    assert "among the round's own files" in result.stderr


def test_a_piece_is_judged_in_the_place_that_holds_it_not_in_another(tmp_path):
    file = open_museum(tmp_path)
    write_piece(tmp_path / "pieces" / "altar.toml", "Oak bench")
    run(file)
    says = {row["place"]: row["says"] for row in numbers_of(file)["rows"]}
    assert set(says) == {"Hall", "Chapel"}
    assert says["Hall"] != says["Chapel"]


@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C cannot be sent to one process there")
def test_an_interrupted_round_leaves_the_last_good_index_and_no_draft(tmp_path):
    file = open_museum(tmp_path)
    run(file)
    before = files_of(file)
    many = file.read_text(encoding="utf-8")
    for number in range(60):
        many += f'[[place]]\nname = "Room {number}"\nlogs = "logs/chapel.csv"\n'
        many += 'pieces = "pieces/altar.toml"\n'
    file.write_text(many, encoding="utf-8")
    words = ["round", str(file), "--out", str(tmp_path / "out")]
    running = subprocess.Popen(
        [sys.executable, "-m", "climlog", *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    folder = tmp_path / "out" / FOLDER
    until = time.monotonic() + 60
    while time.monotonic() < until and not (folder / "room-1--pieces-altar.html").exists():
        time.sleep(0.1)
    assert running.poll() is None, "done before it could be interrupted"
    running.send_signal(signal.SIGINT)
    running.communicate(timeout=60)
    after = files_of(file)
    assert after["index.html"] == before["index.html"]
    assert after["round.json"] == before["round.json"]
    assert all(name.endswith((".html", ".json")) for name in after)
    assert all(page.rstrip().endswith(b"</html>") for name, page in after.items() if "--" in name)


def test_the_blank_sheet_runs_once_its_paths_are_there(tmp_path):
    file = tmp_path / "round.toml"
    made = CliRunner().invoke(main, ["sheet", "round", "--out", str(file)])
    assert made.exit_code == 0, made.output
    write_log(tmp_path / "logs" / "gallery1.csv", 45)
    (tmp_path / "pieces").mkdir()
    (tmp_path / "pieces" / "top.toml").write_bytes((SAMPLES / "held_top.toml").read_bytes())
    result = CliRunner().invoke(main, ["round", str(file), "--json", "-"])
    assert [row["place"] for row in json.loads(result.stdout)["rows"]] == ["Gallery 1"]


def test_a_room_off_its_target_is_told_what_to_set(tmp_path):
    file = open_museum(tmp_path)
    place = '[[place]]\nname = "Store"\nlogs = ["logs/hall.csv"]\ntarget = "16 %"\n'
    file.write_text(file.read_text(encoding="utf-8") + place, encoding="utf-8")
    result = run(file)
    assert result.exit_code == 0, result.output
    row = next(one for one in numbers_of(file)["rows"] if one["place"] == "Store")
    assert row["do"][0].startswith("Set: ")
    assert "% RH" in row["do"][0]
    told = numbers_of(file)["answer"]["do"]
    assert any(line.startswith("Store") and row["do"][0] in line for line in told)


def test_a_round_too_long_for_a_terminal_has_a_row_a_place_there(tmp_path):
    file = open_museum(tmp_path)
    gone = ", ".join(f'"pieces/gone{n}.toml"' for n in range(25))
    text = file.read_text(encoding="utf-8").replace('"pieces/altar.toml"', f"[{gone}]")
    file.write_text(text, encoding="utf-8")
    lines = run(file).stdout.splitlines()
    assert len(lines) <= 25
    at = next(n for n, line in enumerate(lines) if line.startswith("  Place "))
    places = [" ".join(line.split()) for line in lines[at + 1 : at + 3]]
    assert places == ["Chapel not read 25 could not be read", "Hall holds 0 1 holds"]
    index = files_of(file)["index.html"].decode()
    assert index.index("Place by place") < index.index("Air and wood") < index.rindex("gone24")


def test_things_of_one_name_in_one_place_are_told_apart_by_their_sheets(tmp_path):
    file = open_museum(tmp_path)
    write_piece(tmp_path / "pieces" / "bench two.toml", "Oak bench")
    text = file.read_text(encoding="utf-8").replace("pieces/bench.toml", "pieces/bench*.toml")
    file.write_text(text, encoding="utf-8")
    run(file)
    names = {row["name"] for row in numbers_of(file)["rows"] if row["place"] == "Hall"}
    assert names == {"Oak bench (bench)", "Oak bench (bench two)"}


def test_monthly_means_fill_a_place_up_and_a_month_that_lacks_is_its_row(tmp_path):
    file = open_museum(tmp_path)
    write_log(tmp_path / "logs" / "hall.csv", 45, days=30)
    months = (SAMPLES / "ferry_house_months.csv").read_text(encoding="utf-8")
    (tmp_path / "whole.csv").write_text(months, encoding="utf-8")
    (tmp_path / "short.csv").write_text(months.replace(",Dec", ""), encoding="utf-8")
    text = file.read_text(encoding="utf-8")
    head, hall, chapel = text.split("[[place]]")
    hall += 'outdoor_months = "whole.csv"\n'
    chapel += 'outdoor_months = "short.csv"\n'
    file.write_text("[[place]]".join([head, hall, chapel]), encoding="utf-8")
    assert run(file).exit_code == 0
    rows = {row["place"]: row for row in numbers_of(file)["rows"]}
    assert rows["Hall"]["verdict"] in ("holds", "close", "runs out")
    assert "December is missing" in rows["Chapel"]["says"]


def test_a_row_asks_what_its_page_asks_and_takes_the_key_that_it_names(tmp_path):
    """Three weeks of a summer do not say whether the room is heated in winter."""
    (head, *rows) = (
        (SAMPLES / "ferry_house_dining_room.csv").read_text(encoding="utf-8").splitlines()
    )
    july = [row for row in rows if "2025-07-20" <= row[:10] < "2025-08-11"]
    (tmp_path / "summer.csv").write_text("\n".join([head, *july]) + "\n", encoding="utf-8")
    for name in ("ferry_house_outdoors.csv", "wide_top_slots.toml"):
        text = (SAMPLES / name).read_text(encoding="utf-8").partition("[[measured]]")[0]
        text = text.replace('slot_length = "1 in"', 'slot_length = "18 mm"')
        (tmp_path / name).write_text(text, encoding="utf-8")
    file = tmp_path / "small museum.toml"
    place = (
        '[round]\nname = "Small museum"\n[[place]]\nname = "Hall"\nlogs = "summer.csv"\n'
        'outdoor = "ferry_house_outdoors.csv"\npieces = "wide_top_slots.toml"\n'
    )
    file.write_text(place, encoding="utf-8")
    assert run(file).exit_code == 0
    (row,) = numbers_of(file)["rows"]
    assert row["verdict"] == "not known"
    assert row["taken"] == " if heated"
    assert row["do"] == [
        'Heated in winter? If so, write heating = "TEMP" under [[place]]; if not, '
        'house = "unheated" or "barely-heated" or "roof-space".'
    ]
    page = files_of(file)[row["page"]].decode()
    assert "--heating" not in page
    assert "likely cases if heated, the most" in files_of(file)["index.html"].decode()
    file.write_text(f'{place}heating = "20 C"\n', encoding="utf-8")
    assert run(file).exit_code == 0
    (row,) = numbers_of(file)["rows"]
    assert row["verdict"] in ("holds", "close")
    assert row["taken"] == ""
