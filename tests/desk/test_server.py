"""What the page asks and gets, the same as the commands give."""

import json
import re
import threading
from urllib.parse import unquote

import pytest
from click.testing import CliRunner

from climlog.cli import main
from climlog.desk.asked import question_of
from climlog.desk.command import command_line
from climlog.desk.server import BusyError, Gate
from climlog.desk.words import in_page_words
from tests.desk.talking import TABLE, Talker, here, said
from tests.places import SAMPLES

AMBIGUOUS = "Time,Temperature,Humidity\n" + "".join(
    f"03/04/2025 {hour:02}:00,{20 + hour / 10},{40 + hour}\n" for hour in range(24)
)


@pytest.fixture(scope="module")
def house(desk):
    return desk.dropped(SAMPLES / "ferry_house_dining_room.csv")


def test_a_sample_is_one_click_away_and_its_first_change_holds(desk):
    given = desk.ask("sample").json
    asked = {"job": "place", "units": "inch", "logs": here(given["key"])}
    first = desk.ask("answer", **asked, tables=given["tables"]).json
    assert first["verdict"] == "runs out"
    change = first["changes"][0]
    then = desk.ask("answer", **asked, tables=change["tables"]).json
    assert then["verdict"] == "holds"
    assert f"{change['out_of_100']} of 100" in then["html"]


FERRY_MONTHS = "ferry_house_months"


def test_the_answer_says_what_the_command_says(desk, house, tmp_path):
    asked = {"job": "place", "units": "metric", "logs": here(house), "tables": TABLE}
    shown = desk.ask("answer", **asked).json
    sheet = desk.ask("save", **asked, what="sheet")
    (tmp_path / sheet.headers["X-File-Name"]).write_bytes(sheet.data)
    numbers = desk.ask("save", **asked, what="json")
    words = shown["command"].split()
    assert words[:2] == ["climlog", "place"]
    words[2] = str(SAMPLES / words[2])
    words[words.index("--piece") + 1] = str(tmp_path / words[words.index("--piece") + 1])
    done = CliRunner().invoke(main, [*words[1:], "--json", "-"])
    assert done.exit_code == 0, done.output
    assert json.loads(done.stdout) == json.loads(numbers.data)


def test_page_and_drawing_can_be_saved(desk, house):
    asked = {"job": "place", "units": "inch", "logs": here(house), "tables": TABLE}
    page = desk.ask("save", **asked, what="page")
    assert page.data.startswith(b"<!DOCTYPE html>")
    assert page.headers["X-File-Name"] == "place-test-table.html"
    assert "sandbox" in page.headers["Content-Security-Policy"]
    assert desk.ask("save", **asked, what="drawing").data.startswith(b"%PDF")
    assert "Hello," in desk.ask("save", **asked, what="letter").text
    assert desk.ask("save", **asked, what="passwd").status_code == 422


def test_what_a_file_leaves_open_is_asked_with_its_rows_and_settled(desk):
    key = desk.drop("when.csv", AMBIGUOUS.encode()).json["key"]
    look = desk.ask("look", logs=here(key)).json
    (question,) = look["questions"]
    assert {one["options"]["date_order"] for one in question["choices"]} == {
        "day-first",
        "month-first",
    }
    assert all(one["rows"] for one in question["choices"])
    settled = desk.ask("look", logs=here(key), how=question["choices"][0]["options"]).json
    assert settled["questions"] == []
    assert "24 of 24 rows" in settled["files"][key]["says"]


def test_several_rooms_in_one_file_are_told_one_by_one_and_chosen(desk):
    rows = "".join(
        f"2025-{month:02}-01 {hour:02}:00,20,{40 + hour},15,{60 + hour}\n"
        for month in range(1, 13) for hour in range(24)
    )  # fmt: skip
    text = "Time,Hall Temperature,Hall Humidity,Loft Temperature,Loft Humidity\n" + rows
    key = desk.drop("rooms.csv", text.encode()).json["key"]
    look = desk.ask("look", logs=here(key)).json
    names = [one["name"] for one in look["files"][key]["sensors"]]
    assert len(names) == 2
    (question,) = look["questions"]
    assert [one["options"]["sensor"] for one in question["choices"]] == names
    how = {"sensor": names[1]}
    assert desk.ask("look", logs=here(key), how=how).json["questions"] == []


def test_a_binary_file_is_refused_by_name_without_our_folders(desk):
    key = desk.drop("photo.csv", bytes(range(256)) * 40).json["key"]
    found = desk.ask("look", logs=here(key)).json["files"][key]
    assert "photo.csv" in found["error"]
    assert str(desk.desk.uploads.folder) not in found["error"]


def test_room_and_crack_are_answered_too(desk, house):
    drying = desk.dropped(SAMPLES / "drying_room.csv")
    stock = desk.ask(
        "sheet", name="stock.toml", text=(SAMPLES / "stock.toml").read_text(encoding="utf-8")
    ).json
    assert stock["sort"] == "stock"
    room = desk.ask("answer", job="room", logs=here(drying), stock=stock["tables"]).json
    assert room["says"].startswith("On target")
    sheet = desk.ask(
        "sheet", name="c.toml", text=(SAMPLES / "crack_held_top.toml").read_text(encoding="utf-8")
    ).json
    crack = desk.ask("answer", job="crack", logs=here(house), tables=sheet["tables"]).json
    assert "held while it shrank" in crack["says"]


HOSTILE = "<script>alert(1)</script><img src=x onerror=alert(1)>{{ 7*7 }}\"'`$(touch x)"


def test_a_hostile_name_is_only_ever_text(desk, house):
    tables = {**TABLE, "piece": {**TABLE["piece"], "name": HOSTILE}}
    asked = {"job": "place", "logs": here(house), "tables": tables}
    shown = desk.ask("answer", **asked).json
    for text in (shown["html"], desk.ask("save", **asked, what="page").text):
        assert "<script>alert" not in text
        assert "<img" not in text
        assert ">49" not in text
    assert "$(" not in shown["command"]


def test_a_log_is_never_sought_outside_what_was_dropped(desk, house):
    for name in ("/etc/passwd", "../../x.csv", "other.csv"):
        event = {"kind": "move", "start": "2025-06-01", "log": name}
        reply = desk.ask(
            "answer", job="place", logs=here(house), tables={**TABLE, "what_if": [event]}
        )
        assert reply.status_code == 422
        assert "drop that file on the page too" in said(reply)
    for key in ("../..", "", "0" * 16):
        assert desk.ask("look", logs=here(key)).status_code in (200, 422)
        assert desk.ask("answer", job="place", logs=here(key), tables=TABLE).status_code == 422


@pytest.mark.parametrize(
    "sent",
    [
        {"data": b"{", "content_type": "application/json"},
        {"data": b"[1]", "content_type": "application/json"},
        {"data": b"[" * 100_000, "content_type": "application/json"},
        {
            "data": b'{"tables": ' + b'{"a":' * 50 + b"1" + b"}" * 51,
            "content_type": "application/json",
        },
        {"data": b"{}", "content_type": "text/plain"},
        {"data": b'{"a":' + b" " * 1_100_000 + b"1}", "content_type": "application/json"},
        {"json": {"tables": {"a\nb": 1}}},
        {"json": {"tables": {"piece": {"width": "x" * 5000}}}},
        {"json": {"tables": [1]}},
        {"json": {"logs": "x"}},
        {"json": {"job": "burn"}},
        {"json": {"how": {"by_file": True}}},
        {"json": {"how": {"__class__": "x"}}},
    ],
)
@pytest.mark.parametrize("what", ["piece", "answer", "look"])
def test_a_malformed_request_gives_a_plain_error(desk, sent, what):
    reply = desk.post(f"ask/{what}", **sent)
    if reply.status_code == 200:
        assert what != "answer"
        return
    assert 400 <= reply.status_code < 500
    assert "\n" not in said(reply)
    assert "Traceback" not in reply.text


def test_our_own_fault_is_printed_and_the_desk_lives_on(tmp_path, capsys, monkeypatch):
    desk = Talker(tmp_path)
    monkeypatch.setattr(desk.desk.uploads, "get", None)
    reply = desk.ask("look", logs=here("x"))
    assert reply.status_code == 500
    assert "this should not have happened" in said(reply)
    assert "TypeError" in capsys.readouterr().err
    assert desk.get().status_code == 200


def test_a_third_analysis_is_sent_away_and_the_place_is_free_again():
    gate, inside, go_on = Gate(), threading.Event(), threading.Event()

    def work():
        with gate.passed():
            inside.set()
            go_on.wait(10)

    threads = [threading.Thread(target=work) for _ in range(2)]
    threads[0].start()
    inside.wait(10)
    threads[1].start()
    while gate._places._value:
        pass
    with pytest.raises(BusyError), gate.passed():
        pass
    go_on.set()
    for one in threads:
        one.join(10)
    with gate.passed():
        pass


def test_faults_are_told_beside_their_field(desk):
    tables = {**TABLE, "piece": {**TABLE["piece"], "wood": "oakk", "width": "5 miles"}}
    found = desk.ask("piece", tables=tables).json["faults"]
    assert {one["place"] for one in found} == {"piece.wood", "piece.width"}


def test_the_command_names_roles_and_what_was_settled(desk, house):
    shop = desk.dropped(SAMPLES / "shop.csv")
    how = {
        "date_order": "day-first",
        "for_files": [{"file": "shop.csv", "option": "temp_unit", "value": "F"}],
    }
    logs = [*here(house), {"key": shop, "role": "shop"}]
    line = command_line(question_of({"logs": logs, "how": how, "tables": TABLE}), desk.desk.uploads)
    assert "--made-in shop.csv" in line
    assert "--date-order day-first" in line
    assert '--for-file "shop.csv: temp-unit F"' in line


def test_a_damaged_sheet_is_refused_with_its_line(desk):
    reply = desk.ask("sheet", name="x.toml", text="[piece]\nwidth = 38 in\n")
    assert reply.status_code == 422
    assert "line 2" in said(reply)
    assert desk.ask("sheet", name="x.toml", text="[other]\na = 1\n").status_code == 422


def test_a_change_taken_for_a_panel_can_be_read_again_in_both_units(desk, house):
    text = (SAMPLES / "cupboard_door.toml").read_text(encoding="utf-8")
    tables = desk.ask("sheet", name="door.toml", text=text).json["tables"]
    for units in ("metric", "inch"):
        asked = {"job": "place", "units": units, "logs": here(house)}
        change = desk.ask("answer", **asked, tables=tables).json["changes"][0]
        then = desk.ask("answer", **asked, tables=change["tables"])
        assert then.status_code == 200, then.text
        assert then.json["verdict"] == "holds"


def test_what_settings_keep_stands_on_the_page_and_what_it_saves(tmp_path):
    settings = {"units": "metric", "maker": "Alder Lane Joinery", "client": "Ms Rowan"}
    desk = Talker(tmp_path, settings)
    assert 'value="metric" checked' in desk.get().text
    asked = {"job": "place", "units": "metric", "tables": TABLE}
    asked["logs"] = here(desk.dropped(SAMPLES / "ferry_house_dining_room.csv"))
    for what in ("page", "letter"):
        text = desk.ask("save", **asked, what=what).text
        assert "Alder Lane Joinery" in text
        assert "Ms Rowan" in text


def test_a_sheet_is_saved_under_the_name_that_the_command_line_tells(desk):
    tables = {**TABLE, "piece": {**TABLE["piece"], "name": "K\u00fcche"}}
    sheet = desk.ask("save", what="sheet", tables=tables)
    name = unquote(sheet.headers["X-File-Name"])
    assert name == "k\u00fcche.toml"
    assert name in command_line(question_of({"tables": tables}), desk.desk.uploads)


def test_monthly_means_dropped_as_the_outdoors_fill_the_year_up(desk):
    keys = [desk.dropped(SAMPLES / f"{one}.csv") for one in ("three_weeks_phone", FERRY_MONTHS)]
    logs = [{"key": keys[0], "role": "here"}, {"key": keys[1], "role": "outdoor"}]
    look = desk.ask("look", logs=logs).json["files"][keys[1]]
    assert look["says"] == "Air outdoors: twelve monthly means."
    line = command_line(question_of({"job": "place", "logs": logs, "tables": TABLE}),
                        desk.desk.uploads)  # fmt: skip
    assert f"--outdoor-months {FERRY_MONTHS}.csv" in line
    shown = desk.ask("answer", job="place", units="metric", logs=logs, tables=TABLE).json
    assert f"{FERRY_MONTHS}.csv, coldest in January" in shown["html"]


def test_an_error_names_no_option_of_a_command(desk, house):
    reply = desk.ask("answer", job="crack", logs=here(house), tables=TABLE)
    assert "fill it in at Question" in said(reply)
    bad = desk.ask("sheet", name="x.toml", text="[piece]\nwidth = 38 in\n")
    for one in (reply, bad):
        assert "--" not in said(one)
        assert "climlog sheet" not in said(one)


def test_a_sheet_of_half_a_letter_is_refused_and_no_fault_of_ours(desk):
    body = json.dumps({"name": "x.toml", "text": "[piece]\nname = \ud800"})
    reply = desk.post("ask/sheet", data=body, content_type="application/json")
    assert reply.status_code == 422


def test_the_question_of_heating_names_the_kinds_of_house_on_the_page():
    said = in_page_words(
        "Heated in winter? If so, give --heating TEMP; if not, --house unheated or barely-heated "
        "or roof-space."
    )
    assert said == (
        "Heated in winter? Choose its kind of house: an ordinary home if so, unheated or "
        "barely-heated or roof-space if not."
    )


@pytest.mark.parametrize(
    ("told", "on_page"),
    [
        ("if it is another kind, give --house unheated.", "choose its kind of house: unheated."),
        (
            "if it is another kind, give --house unheated or --heating TEMP.",
            "choose its kind of house: unheated or iso13788-class-2.",
        ),
        ("give --house unheated, or --house roof-space.", "house: unheated or roof-space."),
        ("give --house unheated --cooling TEMP to see", "run climlog place with --cooling TEMP to"),
    ],
)
def test_a_kind_of_house_is_chosen_on_the_page(told, on_page):
    assert on_page in in_page_words(told)


def test_an_answer_names_no_option_of_the_command_line(desk, house):
    weeks = desk.dropped(SAMPLES / "three_weeks_phone.csv")
    bare = {"piece": {k: v for k, v in TABLE["piece"].items() if k[:3] not in ("moi", "mea")}}
    told = []
    for asked in (
        {"job": "place", "logs": here(weeks), "tables": TABLE},
        {"job": "place", "logs": here(house), "tables": bare | {"fastening": [{"kind": "slot"}]}},
        {"job": "room", "logs": here(house)},
        {"job": "crack", "logs": here(house), "tables": TABLE | {"crack": {"seen": "2025-11-20"}}},
    ):
        shown = desk.ask("answer", units="metric", **asked).json
        assert "html" in shown, (asked["job"], shown)
        block = re.sub(r"<[^>]*>", " ", shown["html"].partition('<div class="pictures"')[0])
        assert "--" not in block, block
        told.append(block)
    assert (
        "drop the air outdoors too: a log, EPW or TMY3 of a weather service, or a climate table"
    ) in " ".join(told[0].split())
    assert "Question" in told[3]
