"""Worked examples that other people printed, as they printed them."""

import dataclasses

import numpy as np
import pandas as pd
import pytest

from climlog.model.emc import equilibrium_moisture
from climlog.model.movement import strain_across, tangential_share_of
from climlog.model.woods import all_woods, wood_named
from tests.places import DATA

PUBLISHED = DATA / "published"


def test_wood_handbook_white_fir_from_8_to_11_pct():
    # FPL-GTR-190, chapter 13, eq. 13-2: flat-grained white fir, 232 mm at 8 %, goes to 11 %; the
    # board and the answer 1.705 mm are from memory, the form of eq. 13-2 was read, and the
    # coefficient 0.00245 follows from a shrinkage of 7.0 % that was read. Eq. 13-2 multiplies
    # the width at 8 % by a coefficient based on the width at 10 %, so 0.6 % lies between.
    moved_mm = 232 * float(strain_across(wood_named("white fir"), 1.0, 8.0, 11.0))
    assert moved_mm == pytest.approx(1.705, rel=0.006)


def test_wood_handbook_shrinkage_form_for_the_same_board():
    # FPL-GTR-190, eq. 13-3 (from memory): D (end - start) / (30 x 100 / S - 30 + start), S = 7.0
    # (read). The coefficient is printed to three digits: 0.1 %.
    moved_mm = 232 * float(strain_across(wood_named("white fir"), 1.0, 8.0, 11.0))
    assert moved_mm == pytest.approx(232 * 3 / (30 * 100 / 7.0 - 30 + 8), rel=0.0015)


def test_flooring_trade_mesquite_plank():
    # Flooring stability chart of the trade (read at flooringartists.com): a mesquite plank 5 in
    # wide, 6 to 9 %, coefficient 0.00129, grows by 0.019 in. Printed to 0.001.
    mesquite = dataclasses.replace(
        wood_named("red oak"), name="mesquite", tangential_per_pct=0.00129
    )
    assert 5 * float(strain_across(mesquite, 1.0, 6.0, 9.0)) == pytest.approx(0.019, abs=0.0006)


def test_woodworking_magazine_red_alder():
    # WOOD magazine, September 2021 (read): flat-sawn red alder 8 in wide, 6 points of moisture,
    # 0.1248 in. It rounds the coefficient 0.00256 up to 0.0026, hence 2 %; the moisture at the
    # start is not given, 7 % is taken.
    moved_in = 8 * float(strain_across(wood_named("red alder"), 1.0, 7.0, 13.0))
    assert moved_in == pytest.approx(0.1248, rel=0.02)


def trade_rows():
    table = pd.read_csv(PUBLISHED / "trade_change_10_to_5.csv", encoding="utf-8")
    return list(table.itertuples(index=False, name=None))


@pytest.mark.parametrize(("wood", "cut", "published"), trade_rows())
def test_hardwood_trade_table_brackets_the_handbook(wood, cut, published):
    # American Hardwood Information Center (read): 64ths of an inch in 12 in from 10 to 5 %. It is
    # a bracket, not a truth: it lies up to a third below the handbook for flat-sawn stock, and
    # one figure serves both oaks quartersawn. Half a 64th is its rounding.
    strain = strain_across(wood_named(wood), tangential_share_of(cut), 10.0, 5.0)
    ours = -12 * 64 * float(strain)
    assert 0.66 * ours - 0.5 <= published <= 1.1 * ours + 0.5


def test_green_lumber_line_lies_between_the_two_cuts_of_douglas_fir():
    # Green, FPL-RP-489 (1989), abstract read: shrinkage of width in % = 6.031 - 0.215 M for most
    # softwood lumber of mixed grain, 8 to 19 %. (A course page works it out for 19 to 10 % and
    # prints 13.02 in of 13.25 in; the line itself gives 12.99, so that answer is not used.)
    line = (1 - (6.031 - 0.215 * 10) / 100) / (1 - (6.031 - 0.215 * 19) / 100) - 1
    wood = wood_named("Douglas-fir")
    flat, quarter = (float(strain_across(wood, share, 19.0, 10.0)) for share in (1.0, 0.0))
    assert flat < line < quarter < 0


def test_four_points_of_moisture_are_about_one_per_cent_of_width():
    # American Wood Council, "Where can I find information on wood shrinkage?" (read): about 1 %
    # of size for 4 points of moisture, radial and tangential taken together.
    halves = [float(strain_across(wood, 0.5, 8.0, 12.0)) for wood in all_woods()]
    assert 100 * np.median(halves) == pytest.approx(1.0, abs=0.3)


@pytest.mark.parametrize(
    ("rh", "published"),
    # G. Wengert, FDMC magazine column (read): no temperature given, so a room; whole numbers.
    [(30, 6), (50, 9), (65, 12), (80, 16)],
)
def test_wengerts_rule_for_rooms(rh, published):
    assert equilibrium_moisture(21.1, rh) == pytest.approx(published, abs=0.5)


@pytest.mark.parametrize(
    ("temp_f", "rh", "published", "allowed"),
    [
        # Encyclopedia text of the Hailwood-Horrobin equation (read): 140 °F, 55 %, 8.4 %.
        (140, 55, 8.4, 0.05),
        # Forum post (second hand): 70 °F and 35 % hold about 7 %.
        (70, 35, 7.0, 0.5),
        # Woodworkers' forum answer (read, ncwoodworker.net): 70 °F and 65 % hold 12 %.
        (70, 65, 12.0, 0.5),
    ],
)
def test_single_published_points(temp_f, rh, published, allowed):
    assert equilibrium_moisture((temp_f - 32) / 1.8, rh) == pytest.approx(published, abs=allowed)


@pytest.mark.parametrize(
    ("name", "cut", "width_in", "moisture_pct", "printed_in", "allowed_in"),
    [
        # A post that works chapter 12 of FPL-GTR-113 (read): flat-sawn cherry, printed to 0.01;
        # quartersawn white oak with the radial coefficient, printed to 0.001.
        ("black cherry", "flat-sawn", 12, (8, 12), 0.12, 0.005),
        ("white oak", "90 deg", 18, (13, 7), -0.194, 0.0015),
        # woodweb.com, "Predicting Shrinkage in European Beech" (read): 38 in, 3 points, "nearly
        # 1/2 in" flat-sawn and "under 1/4 in" quartersawn.
        ("European beech", "flat-sawn", 38, (10, 7), -0.49, 0.02),
        ("European beech", "90 deg", 38, (10, 7), -0.235, 0.015),
    ],
)
def test_worked_examples_of_the_trade(name, cut, width_in, moisture_pct, printed_in, allowed_in):
    strain = strain_across(wood_named(name), tangential_share_of(cut), *moisture_pct)
    assert width_in * float(strain) == pytest.approx(printed_in, abs=allowed_in)


def test_cherry_panel_from_20_to_80_pct_humidity():
    # A woodworking magazine's forum (read): a cherry panel 12 13/32 in wide, 20 to 80 % relative
    # humidity, 4.5 and 16.0 % moisture, about 3/8 in. To a 32nd of an inch.
    dry, damp = equilibrium_moisture(21.1, [20, 80])
    assert (dry, damp) == (pytest.approx(4.5, abs=0.05), pytest.approx(16.0, abs=0.05))
    moved = (12 + 13 / 32) * float(strain_across(wood_named("black cherry"), 1.0, dry, damp))
    assert moved == pytest.approx(3 / 8, abs=1 / 32)
