"""Large files go quick ways; what they give is what the general way gives."""

from datetime import datetime, timedelta

import numpy as np
import pytest

from climlog.errors import UnusableInputError
from climlog.importer.read import read_log
from climlog.importer.text import unquoted

BEGUN = datetime(2024, 1, 30, 22, 10)
ROWS = 400


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
