"""The lag model against measurements and statements from outside the project."""

import sys

import numpy as np
import pandas as pd
import psychrolib
import pytest

from climlog.model.board import BARE, Finish
from climlog.model.diffusion import Slab, days_to_63_pct
from climlog.model.emc import equilibrium_moisture, sorption_slope
from climlog.model.finishes import all_finishes, finish_named
from climlog.model.wood_transport import (
    diffusivity_m2_s,
    figure,
    permeance_kg_m2_s_pa,
    rate_at,
    transfer_m_s,
)
from tests import places
from tests.model.finite_volume import Air, Grid, march

HOUR = 3600.0
HOURS_PER_DAY = 24
DATA = places.DATA / "lag"
OAK, PINE = 0.65, 0.40


def slab_mm(thickness_mm, *faces, gravity=OAK, diffusivity=4e-11, moisture_per_rh=None):
    transfer = tuple(transfer_m_s(face, gravity, moisture_per_rh) for face in faces)
    return Slab(thickness_mm / 1000, diffusivity, transfer)


def tell(text):
    sys.stdout.write(text + "\n")


# 1. The published moisture-excluding test: matched pieces, with and without a finish, go from
# 30 to 90 % relative humidity at 26.7 °C; effectiveness = share of the bare piece's gain kept out.
# Climate, wood (ponderosa pine sapwood) and values read, specimen (16 x 76 x 127 mm, all sides
# coated) from memory; see tests/data/lag/README.md. The table's permeances were fitted to these
# figures, so this checks that they carry over, not that they are right.

TEST_TEMP_C, DRY_RH, WET_RH = 26.7, 30.0, 90.0
SPECIMEN_MM = 11.9
"""2 x volume / whole surface: every side exchanges."""
TEST_DAYS = (1, 7, 14)
AS_TESTED = [f"after_{days}_day{'s' if days > 1 else ''}" for days in TEST_DAYS]
FIRST_DAY_ONLY = 4e-9


@pytest.fixture(scope="module")
def tested():
    table = pd.read_csv(DATA / "moisture_excluding.csv")
    films = {(one.kind, one.coats): one for one in all_finishes()}
    table["film"] = [films[key] for key in zip(table["kind"], table["coats"], strict=True)]
    # Two rows disagree: lacquer, 3 coats, after 14 days is 10 in a list, 19 from memory. The
    # table follows the one that was read.
    disputed = (table["kind"] == "nitrocellulose lacquer") & (table["coats"] == 3)
    return table[~(disputed & (table["mark"] == "memory"))]


def residuals(tested, gain_of):
    bare = gain_of(BARE)
    table = pd.DataFrame(
        [100 * (1 - gain_of(film) / bare) for film in tested["film"]],
        index=[tested["kind"], tested["coats"], tested["mark"]],
        columns=AS_TESTED,
    )
    off = table - tested[AS_TESTED].to_numpy()
    tell(off.round(1).to_string())
    tell(f"rms {np.sqrt((off**2).mean()).round(1).to_dict()}, worst {off.abs().max().to_dict()}")
    return off


@pytest.mark.slow
def test_cells_with_the_real_sorption_curve_keep_out_what_the_test_measured(tested):
    """Permeance in the vapour, D(M) = 1e-10 exp(8 (u - 0.08)): what the table was fitted with."""
    off = residuals(tested, gain_by_cells)
    sound = np.array([film.permeance_kg_m2_s_pa < FIRST_DAY_ONLY for film in tested["film"]])
    # One permeance cannot follow all three days: films open up as they take up water. Values are
    # printed to a whole point.
    assert np.sqrt(np.nanmean(off[sound] ** 2)) < 2.5
    assert np.nanmax(off.abs()) < 8


def gain_by_cells(film):
    psychrolib.SetUnitSystem(psychrolib.SI)
    curve_rh = np.linspace(0, 95, 400)
    curve = equilibrium_moisture(TEST_TEMP_C, curve_rh)
    wet = float(equilibrium_moisture(TEST_TEMP_C, WET_RH))

    def per_moisture(surface_pct, emc_pct):
        room = np.maximum(emc_pct - surface_pct, 1e-3)
        return np.maximum(WET_RH - np.interp(surface_pct, curve, curve_rh), 1e-3 / 0.4) / room

    hours = TEST_DAYS[-1] * HOURS_PER_DAY + 1
    transfer = permeance_kg_m2_s_pa(film) * psychrolib.GetSatVapPres(TEST_TEMP_C) / (1000 * PINE)
    air = Air(
        np.full(hours, wet),
        np.full((hours, 2), transfer),
        np.full(hours, float(rate_at(TEST_TEMP_C))),
        per_moisture,
    )
    grid = Grid.fine_at_faces(SPECIMEN_MM / 1000, 24)
    start = float(equilibrium_moisture(TEST_TEMP_C, DRY_RH))
    mean = march(grid, lambda u: 1e-10 * np.exp(8 * (u - 8) / 100), air, HOUR, start, 2)["mean"]
    return mean[np.array(TEST_DAYS) * HOURS_PER_DAY] - start


def test_modes_keep_out_what_the_test_measured_to_within_their_straight_sorption_curve(tested):
    off = residuals(tested, gain_by_modes)
    # From 30 to 90 % the curve's slope grows threefold; a straight one lets the middle of the way
    # pass too quickly. In a room (30 to 60 %) the slope changes by a fifth.
    assert np.sqrt(np.nanmean(off**2)) < 5
    assert np.nanmax(off.abs()) < 12
    tight = np.array([film.permeance_kg_m2_s_pa < 2e-10 for film in tested["film"]])
    assert np.sqrt(np.nanmean(off[tight] ** 2)) < 2.5


def gain_by_modes(film):
    psychrolib.SetUnitSystem(psychrolib.SI)
    humidities = np.linspace(DRY_RH, WET_RH, 601)
    slopes = sorption_slope(TEST_TEMP_C, humidities)
    slope = (slopes**2).sum() / slopes.sum()
    dry, wet = equilibrium_moisture(TEST_TEMP_C, [DRY_RH, WET_RH])
    pressure = psychrolib.GetSatVapPres(TEST_TEMP_C)
    transfer = permeance_kg_m2_s_pa(film) * pressure / (1000 * PINE * slope)
    middle = ((dry + wet) / 2 - figure("reference_moisture").value) / 100
    wetter = float(rate_at(TEST_TEMP_C)) * np.exp(8 * middle)
    board = Slab(SPECIMEN_MM / 1000, diffusivity_m2_s(PINE) * wetter, (transfer, transfer))
    mean = board.respond(np.full(TEST_DAYS[-1] * HOURS_PER_DAY + 1, wet), HOUR, dry).mean_pct
    return mean[np.array(TEST_DAYS) * HOURS_PER_DAY] - dry


# 2. Times. Timelag classes of the US fire-danger rating (read): 63 % response of a bare round
# softwood stick, at the rating's standard 26.7 °C.


@pytest.mark.parametrize(
    ("diameter_mm", "hours"),
    [(12.7, 10), (50.8, 100), (140, 1000)],
    ids=["10 h", "100 h", "1000 h"],
)
def test_round_sticks_answer_within_their_timelag_class(diameter_mm, hours):
    board = round_stick(diameter_mm)
    days = days_to_63_pct(board) / float(rate_at(26.7))
    tell(f"{diameter_mm} mm: {days * 24:.0f} h, class {hours} h")
    # A class spans a factor of ten; any diffusivity is known to a factor of two.
    assert days * 24 == pytest.approx(hours, rel=0.75)


def round_stick(diameter_mm):
    """A slab that takes as long as the round stick: 0.1112 a²/D against 0.08003 L²/D (Crank)."""
    thickness_mm = diameter_mm / 2 * np.sqrt(0.1112 / 0.08003)
    return slab_mm(thickness_mm, BARE, BARE, gravity=PINE, diffusivity=diffusivity_m2_s(PINE))


# Bare and finished hardwood, 650 kg/m³, both faces, 20 °C: 63 % times in days by a separate
# calculation with the same coefficients (series of Crank 1975, eq. 4.53), which took the slope of
# the sorption curve as 0.17; the handbook's curve at 8 % has 0.152. Printed to two digits.
SEPARATE_CALCULATION = {
    6: (0.9, 3.0, 11, 26, 87),
    12: (3.5, 7.7, 24, 53, 176),
    19: (8.6, 15, 41, 88, 282),
    25: (15, 24, 58, 119, 375),
    38: (34, 48, 100, 193, 582),
    50: (59, 77, 146, 268, 780),
}
PERMEANCES = (None, 7.9e-10, 1.6e-10, 6.6e-11, 1.9e-11)


@pytest.mark.parametrize(("thickness_mm", "days"), SEPARATE_CALCULATION.items())
def test_times_of_bare_and_finished_boards_agree_with_a_separate_calculation(thickness_mm, days):
    for permeance, expected in zip(PERMEANCES, days, strict=True):
        film = Finish("a film", 1, permeance)
        found = days_to_63_pct(slab_mm(thickness_mm, film, film, moisture_per_rh=0.17))
        assert found == pytest.approx(expected, rel=0.06)
        # With the handbook's own slope a film holds up less: at most the ratio of the slopes.
        shorter = days_to_63_pct(slab_mm(thickness_mm, film, film))
        assert 0.152 / 0.17 * found * 0.999 <= shorter <= found


def test_boards_settle_in_about_the_time_that_shops_allow():
    """Common practice, no source: weeks for 20 mm stock, about a point a week for 25 mm stock."""
    assert 7 < days_to_63_pct(slab_mm(20, BARE, BARE)) < 14
    five_weeks = slab_mm(25, BARE, BARE).respond(np.full(24 * 35 + 1, 9.3), HOUR, 15.0).mean_pct
    assert five_weeks[-1] == pytest.approx(10.0, abs=0.5)


def swing_share(board, period_hours):
    hours = np.arange(int(12 * days_to_63_pct(board) * 24) + 2 * period_hours)
    mean = board.respond(np.sin(2 * np.pi * hours / period_hours), HOUR, 0.0).mean_pct
    return np.ptp(mean[-period_hours:]) / 2


def test_a_board_hardly_follows_the_day_and_nearly_wholly_the_year():
    """Wood Handbook, ch. 4 (read): short changes reach mainly the surface."""
    board = slab_mm(19, BARE, BARE)
    assert swing_share(board, 24) < 0.1
    assert swing_share(board, 24 * 365) > 0.95


def test_usual_coatings_more_than_halve_what_a_day_moves():
    """Study of interior wood at Aalto University (abstract read): cut by more than 50 %."""
    bare = swing_share(slab_mm(19, BARE, BARE), 24)
    for kind in ("nitrocellulose lacquer", "oil-modified urethane varnish", "shellac"):
        film = finish_named(kind, 2)
        assert swing_share(slab_mm(19, film, film), 24) < 0.5 * bare


# 3. Beech and ash elements, two years in a room heated in winter (abstract read; thickness and
# finish not recovered): wood 5-6 to 10.4-10.9 %, about 1 point above the EMC in winter and up to
# 2.5 below it in summer, so that the wood swung about 0.6 (0.5 to 0.7) of what the EMC did.


def test_indoor_boards_swing_about_six_tenths_of_the_air_as_beech_and_ash_did():
    """Another house's year (tests/data/lag): only the share and the sides are compared."""
    air = pd.read_csv(DATA / "timber_house_year.csv")
    emc = equilibrium_moisture(air["temp_c"].to_numpy(), air["rh_pct"].to_numpy())
    rate = rate_at(air["temp_c"].to_numpy())
    winter = pd.to_datetime(air["time_utc_plus_2"]).dt.month.isin([12, 1, 2]).to_numpy()
    summer = pd.to_datetime(air["time_utc_plus_2"]).dt.month.isin([6, 7, 8]).to_numpy()
    shares = {}
    for thickness_mm in (12, 20, 30, 45):
        wood = slab_mm(thickness_mm, BARE, BARE).respond(emc, HOUR, 6.5, rate).mean_pct
        shares[thickness_mm] = np.ptp(wood) / np.ptp(emc)
        above, below = (wood - emc)[winter].max(), (emc - wood)[summer].max()
        tell(
            f"{thickness_mm} mm bare: share {shares[thickness_mm]:.2f}, "
            f"above by {above:.1f} in winter, below by {below:.1f} in summer"
        )
        assert 0.5 < above < 3
        assert 1 < below < 5
    assert shares[20] == pytest.approx(0.6, abs=0.1)
    assert list(shares.values()) == sorted(shares.values(), reverse=True)


# 4. A pine stick outdoors, two dry months, hourly (tests/data/lag). A smoke check: end grain open,
# sun and wind on the stick, weather partly from a model. One stated parameter: a slab that takes
# as long as a round stick of 12.7 mm; nothing is tuned to the record.


@pytest.fixture(scope="module")
def stick():
    record = pd.read_csv(DATA / "pine_stick_dry_season.csv", parse_dates=["time_utc"])
    # A few hours at -1.3 °C lie just below the EMC table; the wood is not told of them.
    temps = record["temp_c"].clip(lower=-1.0).to_numpy()
    emc = equilibrium_moisture(temps, record["rh_pct"].to_numpy())
    board = round_stick(12.7)
    record["model_pct"] = board.respond(
        emc, HOUR, record["stick_pct"].iloc[0], rate_at(record["temp_c"].to_numpy())
    ).mean_pct
    days = record.resample("1D", on="time_utc").agg(
        {"stick_pct": "mean", "model_pct": "mean", "rain_mm_per_h": "sum"}
    )
    dry = (days["rain_mm_per_h"] < 0.1) & (days["rain_mm_per_h"].shift(1, fill_value=1) < 0.1)
    return days[dry]


def test_daily_moisture_of_a_pine_stick_outdoors_is_met_without_tuning(stick):
    off = stick["model_pct"] - stick["stick_pct"]
    together = stick["model_pct"].corr(stick["stick_pct"])
    tell(
        f"{len(off)} dry days: bias {off.mean():+.2f}, scatter {off.std():.2f} % moisture, "
        f"correlation {together:.2f}"
    )
    assert len(off) > 25
    assert abs(off.mean()) < 1.0
    assert off.std() < 2.0
    assert together > 0.6


def test_damping_the_swing_for_hysteresis_does_not_clearly_improve_the_stick(stick):
    """Scanning loops are said to be 0.6 to 0.8 of the curve's slope (memory): a range, no rule."""
    middle = stick["model_pct"].mean()
    scatter = {
        share: (middle + share * (stick["model_pct"] - middle) - stick["stick_pct"]).std()
        for share in (1.0, 0.8, figure("scanning_share").low)
    }
    tell(", ".join(f"share {share}: scatter {value:.2f} %" for share, value in scatter.items()))
    assert min(scatter.values()) > 0.9 * scatter[1.0]


def test_an_idle_band_between_wetting_and_drying_curves_does_not_improve_the_stick_either():
    """A surface inside the band neither takes up nor gives off: the fire-danger rule (read)."""
    record = pd.read_csv(DATA / "pine_stick_dry_season.csv", parse_dates=["time_utc"])
    emc = equilibrium_moisture(
        record["temp_c"].clip(lower=-1.0).to_numpy(), record["rh_pct"].to_numpy()
    )
    scatter = {width: scatter_with_band(record, emc, width) for width in (0.0, 0.1)}
    tell(", ".join(f"band ±{w:.0%}: scatter {value:.2f} %" for w, value in scatter.items()))
    assert scatter[0.1] > 0.95 * scatter[0.0]


def scatter_with_band(record, emc, width):
    def idle_inside(surface_pct, emc_pct):
        nearest = np.clip(surface_pct, emc_pct * (1 - width), emc_pct * (1 + width))
        whole = emc_pct - surface_pct
        steady = np.abs(whole) < 1e-6
        return np.where(steady, 0.0, (nearest - surface_pct) / np.where(steady, 1.0, whole))

    board, rate = round_stick(12.7), rate_at(record["temp_c"].to_numpy())
    air = Air(emc, rate[:, None] * np.array(board.transfer_m_s), rate, idle_inside)
    mean = march(
        Grid.fine_at_faces(board.thickness_m, 30),
        lambda moisture_pct: np.full(moisture_pct.shape, board.diffusivity_m2_s),
        air,
        HOUR,
        record["stick_pct"].iloc[0],
        3,
    )["mean"]
    days = record.assign(off=mean - record["stick_pct"]).resample("1D", on="time_utc")
    daily = days.agg({"off": "mean", "rain_mm_per_h": "sum"})
    dry = (daily["rain_mm_per_h"] < 0.1) & (daily["rain_mm_per_h"].shift(1, fill_value=1) < 0.1)
    return daily["off"][dry].std()
