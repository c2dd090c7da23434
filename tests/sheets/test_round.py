"""The round file: places and paths, and what makes it doubtful as a whole."""

import pytest

from climlog.errors import ClimlogError, slug_of
from climlog.importer.options import OF_A_FILE
from climlog.sheets.blank import blank_sheet
from climlog.sheets.round import READING, read_round

HALL = '[[place]]\nname = "Hall"\nlogs = "hall.csv"\n'


@pytest.fixture
def folder(tmp_path):
    for name in ("hall.csv", "hall2.csv", "bench.toml"):
        (tmp_path / name).write_text("x", encoding="utf-8")
    (tmp_path / "sheets").mkdir()
    return tmp_path


def read(folder, text):
    file = folder / "round.toml"
    file.write_text(text, encoding="utf-8")
    return read_round(file)


def refused(folder, text):
    with pytest.raises(ClimlogError) as caught:
        read(folder, text)
    return str(caught.value)


def test_paths_and_patterns_are_found_beside_the_file(folder):
    found = read(folder, HALL.replace("hall.csv", "hall*.csv") + 'pieces = ["bench.toml"]\n')
    (place,) = found.places
    assert [path.name for path in place.logs] == ["hall.csv", "hall2.csv"]
    assert [path.name for path in place.pieces] == ["bench.toml"]
    assert found.name == "round"
    assert not place.trouble


def test_a_file_named_by_two_patterns_is_read_once(folder):
    text = HALL.replace('"hall.csv"', '["hall.csv", "hall*.csv"]')
    assert [path.name for path in read(folder, text).places[0].logs] == ["hall.csv", "hall2.csv"]


def test_every_reading_option_of_a_file_can_stand_in_a_place():
    assert set(READING) == {*OF_A_FILE, "for_files"}


def test_reading_options_are_taken_by_their_names(folder):
    text = HALL + 'sensor = "Hall"\nrh_offset = -2\ntime_column = ["day", "clock"]\n'
    wanted = {"sensor": "Hall", "rh_offset": -2.0, "time_column": ("day", "clock")}
    assert read(folder, text).places[0].reading == wanted


def test_a_pattern_that_matches_nothing_is_kept_as_trouble_of_its_place(folder):
    (place,) = read(folder, HALL.replace("hall.csv", "attic*.csv")).places
    assert place.trouble == 'logs: "attic*.csv": matches no file'


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (HALL + HALL, 'two places are called "Hall"'),
        (HALL + HALL.replace("Hall", "hall!"), "rename one"),
        (HALL.replace("Hall", "A") * 2, 'two places are called "A"'),
        (HALL + 'pieces = ["bench.toml", "bench.toml"]\n', '"bench.toml" is listed twice'),
        (HALL + 'pieces = ["*.toml", "bench.toml"]\n', '"bench.toml" is listed twice'),
        (HALL.replace("hall.csv", "../hall.csv"), "leaves the folder"),
        (HALL.replace("hall.csv", "/etc/hall.csv"), "leaves the folder"),
        (HALL.replace('"hall.csv"', "'C:\\hall.csv'"), "leaves the folder"),
        (HALL.replace('"hall.csv"', "'a\\..\\..\\hall.csv'"), "leaves the folder"),
        (HALL + 'stock = "*.toml"\n', "name one file here"),
        (
            HALL + 'pieces = "sheets"\n',
            '"sheets" is a folder; name a file in it, or "sheets/*.toml"',
        ),
        (HALL + 'house = "iso13788-class-2"\n', "add outdoor"),
        (
            HALL + 'outdoor = "hall2.csv"\noutdoor_months = "hall2.csv"\n',
            "leave one of the two out",
        ),
        (HALL + 'outdoor_months = "../hall.csv"\n', "leaves the folder"),
        (HALL + 'peices = "bench.toml"\n', "pieces"),
        (HALL + 'date_order = "american"\n', "date order"),
        ('[[place]]\nname = "Hall"\n', "no air"),
        ('[round]\nname = "Nothing"\n', "place"),
        ("", "place"),
    ],
)
def test_a_file_that_is_doubtful_as_a_whole_is_refused_with_its_line(folder, text, says):
    assert says in refused(folder, text)


def test_monthly_means_stand_in_for_the_outdoors_and_take_a_house(folder):
    text = '[[place]]\nname = "Hall"\noutdoor_months = "hall2.csv"\nhouse = "unheated"\n'
    (place,) = read(folder, text).places
    assert [one.name for one in place.outdoors] == ["hall2.csv"]
    assert [one.name for one in place.inputs] == ["hall2.csv"]
    assert place.trouble == ""
    assert place.set_points == (None, None, None)
    (place,) = read(folder, f'{text}heating = "68 F"\ncooling = "25 C"\n').places
    assert place.set_points == (20.0, 25.0, None)


def test_a_link_out_of_the_folder_is_refused(folder, tmp_path_factory):
    outside = tmp_path_factory.mktemp("outside") / "secret.csv"
    outside.write_text("x", encoding="utf-8")
    try:
        (folder / "linked.csv").symlink_to(outside)
    except OSError:
        pytest.skip("no links here")
    assert "leaves the folder" in refused(folder, HALL.replace("hall.csv", "linked.csv"))
    assert "leaves the folder" in refused(folder, HALL.replace("hall.csv", "l*.csv"))


def test_the_blank_sheet_reads_as_it_stands(tmp_path):
    found = read(tmp_path, blank_sheet("round"))
    assert found.places[0].name == "Gallery 1"


def test_a_slug_tells_names_apart():
    assert slug_of("Gästezimmer 2") == "gastezimmer-2"
    assert slug_of("床") == ""
