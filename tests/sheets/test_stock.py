"""Stock sheets: what a board says, and what is refused by name."""

from datetime import date

import pytest

from climlog.errors import ClimlogError, ImpossibleValueError, UnknownNameError, UnusableInputError
from climlog.sheets.blank import blank_sheet
from climlog.sheets.reading import as_temp_c, as_weight_g
from climlog.sheets.stock import read_stock

HEAD = '[stock]\nname = "pile"\ntarget = "8 %"\n'
BOARD = (
    '[[board]]\nname = "a"\nwood = "red oak"\nthickness = "1 in"\n'
    'measured_on = 2025-03-03\nmoisture = "11 %"\n'
)


@pytest.fixture
def read(tmp_path):
    def reader(text):
        path = tmp_path / "pile.toml"
        path.write_text(text, encoding="utf-8")
        return read_stock(path)

    return reader


def test_the_starting_sheet_reads_as_it_stands(read):
    stock = read(blank_sheet("stock"))
    meter, sample = stock.boards
    assert (meter.readings[0].how, meter.readings[0].moisture_pct) == ("meter", 11.0)
    assert (sample.readings[0].how, len(sample.samples)) == ("oven", 2)
    assert sample.readings[0].weight_g == pytest.approx(4310.0)
    assert meter.tolerance_pct == 0.5


def test_a_board_takes_the_targets_of_the_sheet_unless_it_has_its_own(read):
    own = BOARD.replace('"a"', '"b"') + 'target = "10 %"\n'
    first, second = read(HEAD + BOARD + own).boards
    assert (first.target_pct, second.target_pct) == (8.0, 10.0)


def test_readings_come_in_order_of_their_days(read):
    text = HEAD + BOARD + 'weight = "2 kg"\n'
    text += '[[board.reading]]\non = 2025-05-01\nweight = "1.9 kg"\n'
    text += '[[board.reading]]\non = 2025-04-01\nmoisture = "9 %"\nhow = "oven"\n'
    readings = read(text).boards[0].readings
    assert [one.on for one in readings] == [date(2025, 3, 3), date(2025, 4, 1), date(2025, 5, 1)]
    assert [one.how for one in readings] == ["meter", "oven", "weight"]


@pytest.mark.parametrize(
    ("swap", "kind", "says"),
    [
        (('wood = "red oak"', 'wood = "red oka"'), UnknownNameError, "red oak"),
        # Of what dries or waits no one wood of the name is on the safe side.
        (('wood = "red oak"', 'wood = "ash"'), UnknownNameError, '"ash" can be white ash'),
        (('thickness = "1 in"', "thickness = 1"), UnusableInputError, "unit"),
        (('moisture = "11 %"', ""), UnusableInputError, "no moisture"),
        (("measured_on = 2025-03-03", ""), UnusableInputError, "measured_on is missing"),
        (('moisture = "11 %"', 'moisture = "300 %"'), ImpossibleValueError, "more than 200"),
        (('moisture = "11 %"', 'weight = "4310 g"'), UnusableInputError, "oven_dry"),
        (('name = "a"', 'nmae = "a"'), UnknownNameError, 'did you mean "name"'),
        (('moisture = "11 %"', 'moisture = "11 %"\nhow = "guess"'), UnknownNameError, "meter"),
        (('moisture = "11 %"', 'moisture = "11 %"\ncut = "sideways"'), UnknownNameError, "cut"),
        (
            ('moisture = "11 %"', 'samples = [{ wet = "40 g", dry = "50 g" }]'),
            ImpossibleValueError,
            "more than wet",
        ),
        (
            ('moisture = "11 %"', 'moisture = "11 %"\nsamples = [{ wet = "50 g", dry = "45 g" }]'),
            UnusableInputError,
            "keep one",
        ),
        (('moisture = "11 %"', 'moisture = "11 %"\ntarget = "60 %"'), ImpossibleValueError, "air"),
    ],
)
def test_a_wrong_line_is_refused_with_a_way_out(read, swap, kind, says):
    with pytest.raises(kind, match=r"pile\.toml") as caught:
        read(HEAD + BOARD.replace(*swap))
    assert says in str(caught.value)


def test_boards_of_one_name_are_refused(read):
    with pytest.raises(UnusableInputError, match='two boards are called "a"'):
        read(HEAD + BOARD + BOARD)


def test_a_sheet_without_boards_or_target_is_refused(read):
    with pytest.raises(UnusableInputError, match="board is missing"):
        read(HEAD)
    with pytest.raises(UnusableInputError, match="no target"):
        read(BOARD)
    with pytest.raises(UnusableInputError, match="holds no boards"):
        read("board = []\n")


# International avoirdupois pound 453.59237 g, exact by the agreement of 1959; ounce a sixteenth.
@pytest.mark.parametrize(
    ("text", "grams"),
    [("4310 g", 4310.0), ("4,31 kg", 4310.0), ("1 lb", 453.59237), ("9 lb 8 oz", 9.5 * 453.59237)],
)
def test_weights_read_as_people_write_them(text, grams):
    assert as_weight_g(text) == pytest.approx(grams, rel=1e-12)


@pytest.mark.parametrize("text", ["4310", "heavy", "0 g", "-3 g", ""])
def test_what_is_no_weight_is_refused(text):
    with pytest.raises(ClimlogError, match="weight"):
        as_weight_g(text)


def test_temperatures_need_their_unit():
    assert as_temp_c("59 °F") == pytest.approx(15.0)
    assert as_temp_c("-4 C") == -4.0
    with pytest.raises(UnusableInputError, match="temperature"):
        as_temp_c("15")
