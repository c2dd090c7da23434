"""Large files go quick ways; what they give is what the general way gives."""

import csv
import io
import random
from datetime import datetime, timedelta

import numpy as np
import pytest

from climlog.errors import UnusableInputError
from climlog.importer.read import read_log
from climlog.importer.text import unquoted
from climlog.importer.text.dialect import Text
from climlog.importer.text.layout import Layout

BEGUN = datetime(2024, 1, 30, 22, 10)
ROWS = 400
LAYOUT = Layout(",", ("h", "h"), True, 4, ())


def written(path, stamp, quoted=True, spoil=None):
    lines = ["Time,Temperature (°C),Humidity (%)"]
    for n in range(ROWS):
        cells = [
            f"{BEGUN + timedelta(minutes=97 * n):{stamp}}",
            f"{20 + n % 7 / 10}",
            f"{45 + n % 11}",
        ]
        if spoil and n in spoil:
            cells = spoil[n]
        lines.append(",".join(f'"{cell}"' for cell in cells) if quoted else ",".join(cells))
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.fixture
def both_ways(monkeypatch):
    def read(path):
        found = []
        for fewest in (0, 10**9):
            monkeypatch.setattr(unquoted, "FEWEST_BYTES", fewest)
            found.append(read_log([path]))
        return found

    return read


STAMPS = ["%Y-%m-%d %H:%M:%S", "%Y-%m-%dT%H:%M", "%d/%m/%Y %H:%M:%S", "%d.%m.%Y %H:%M",
          "%m-%d-%Y %H:%M", "%m/%d/%Y %I:%M:%S %p", "%d/%m/%y %H:%M"]  # fmt: skip


@pytest.mark.parametrize("quoted", [True, False])
@pytest.mark.parametrize("stamp", STAMPS)
def test_the_quick_way_reads_what_the_general_way_reads(tmp_path, both_ways, stamp, quoted):
    quick, general = both_ways(written(tmp_path / "log.csv", stamp, quoted))
    assert quick.rows_used == general.rows_used == ROWS
    assert (quick.times == general.times).all()
    assert quick.times[0] == BEGUN.replace(second=0)
    np.testing.assert_array_equal(quick.temp_c, general.temp_c)
    np.testing.assert_array_equal(quick.rh_pct, general.rh_pct)
    assert quick.guesses == general.guesses


@pytest.mark.parametrize(
    "spoil",
    [
        {7: ["31/02/2024 10:00", "20", "45"]},
        {7: ["no stamp at all!", "20", "45"]},
        {7: ["", "20", "45"]},
        {7: ["05/03/2024 10:00", 'a "" word', "45"]},
        {7: ["05/03/2024 10:00", "20,5", "45"]},
        {7: ["05/03/2024 24:61", "20", "45"]},
        {7: [" 05/03/2024 10:00", "20", "45"]},
        {7: ["05/03/2024 10:00", "20 ", "45"]},
    ],
)
def test_a_row_that_fits_no_quick_way_is_accounted_for_alike(tmp_path, both_ways, spoil):
    quick, general = both_ways(written(tmp_path / "log.csv", "%d/%m/%Y %H:%M", spoil=spoil))
    assert quick.rows_used == general.rows_used
    assert dict(quick.rows_left_out) == dict(general.rows_left_out)
    assert (quick.times == general.times).all()


def test_an_order_that_stays_open_is_asked_about_alike(tmp_path, monkeypatch):
    path = tmp_path / "log.csv"
    rows = "".join(f"0{1 + n % 5}/0{1 + n % 6}/2024 10:00,20.1,45\n" for n in range(60))
    path.write_text("Time,Temperature (°C),Humidity (%)\n" + rows, encoding="utf-8")
    asked = []
    for fewest in (0, 10**9):
        monkeypatch.setattr(unquoted, "FEWEST_BYTES", fewest)
        with pytest.raises(UnusableInputError) as found:
            read_log([path])
        asked.append(str(found.value))
    assert asked[0] == asked[1]


def rows_at_random(rng):
    """Rows with quotes of every kind: about all cells, some, doubled, around marks, line ends."""
    plain = ('"1"', '"20 a"', '""')
    other = ("1", "", '"a,b"', '"a\nb"', '"a\rb"', '" a"', '"a "', '"a""b"', '"""', '","')
    end = rng.choice(("\n", "\r\n", "\r"))
    cells = plain if rng.random() < 0.5 else (*plain, *other)
    columns = rng.randrange(1, 4)
    rows = [",".join(rng.choice(cells) for _ in range(columns)) for _ in range(rng.randrange(1, 5))]
    return end.join(rows) + rng.choice((end, ""))


def test_quotes_are_taken_alike_by_counting_and_by_looking_into_every_cell(monkeypatch):
    monkeypatch.setattr(unquoted, "FEWEST_BYTES", 0)
    rng, count, told = random.Random(3), unquoted._stands_alone, []

    def counting(*given):
        told.append(count(*given))
        return told[-1]

    taken = 0
    for _ in range(4000):
        text = Text("log.csv", f"h,h\n{rows_at_random(rng)}".encode())
        monkeypatch.setattr(unquoted, "_stands_alone", counting)
        quick = unquoted.unquoted(text, LAYOUT).data
        monkeypatch.setattr(unquoted, "_stands_alone", lambda *_: False)
        assert quick == unquoted.unquoted(text, LAYOUT).data, text.data
        if quick != text.data:
            taken += 1
            assert cells_of(quick) == cells_of(text.data)
    assert taken > 500
    assert 500 < sum(told) < len(told)


def cells_of(data):
    """Cells as Python's own csv module reads them."""
    return list(csv.reader(io.StringIO(data.decode(), newline="")))
