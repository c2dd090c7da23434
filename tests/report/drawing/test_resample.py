"""Means for drawings of long logs."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.place.place import analyse_place
from climlog.model.finishes import finish_named
from climlog.report.drawing.resample import calm_for
from climlog.report.phrases import Say
from climlog.report.place.air import air_chart
from climlog.report.place.wood import moisture_chart
from tests.analysis.made import made_log, oak_top

INCH = Say("inch")


def hours(days):
    return pd.date_range("2020-01-01", periods=days * 24, freq="h")


@pytest.mark.parametrize(
    ("days", "mean_of", "words"),
    [(60, 0, ""), (200, 1, ", daily means"), (1800, 7, ", weekly means")],
)
def test_long_logs_are_drawn_as_means(days, mean_of, words):
    calm = calm_for(hours(days))
    assert (calm.days, calm.words) == (mean_of, words)
    assert calm.times(hours(days)).size == calm.values(np.zeros(days * 24)).size


def test_daily_means_are_means_of_days_and_keep_gaps_open():
    calm = calm_for(hours(100))
    values = np.repeat(np.arange(100.0), 24) + np.tile(np.arange(24) - 11.5, 100)
    values[24 * 10 : 24 * 11] = np.nan
    values[24 * 20 : 24 * 20 + 13] = np.nan
    means = calm.values(values)
    assert np.isnan(means[[10, 20]]).all()
    np.testing.assert_allclose(np.delete(means, [10, 20]), np.delete(np.arange(100.0), [10, 20]))
    assert calm.times(hours(100))[3] == pd.Timestamp("2020-01-04 12:00")


def test_a_log_of_days_is_drawn_as_it_is():
    daily = pd.date_range("2020-01-01", periods=300, freq="D")
    assert calm_for(daily).days == 0
    assert calm_for(daily).times(daily).size == 300


def result_of(**faces):
    swing = 50 + 30 * np.sin(np.arange(24 * 120) * 2 * np.pi / 24)
    return analyse_place(oak_top(**faces), made_log(np.full(swing.size, 20.0), swing))


def test_faces_that_are_alike_are_drawn_once():
    alike = result_of()
    other = result_of(show_face=finish_named("shellac", 3))
    assert [one.style for one in moisture_chart(alike, INCH).panels[0].curves] == [
        "zero", "show", "core", "middle",
    ]  # fmt: skip
    styles = [one.style for one in moisture_chart(other, INCH).panels[0].curves]
    assert styles == ["zero", "show", "hidden", "core", "middle"]
    assert any("both faces" in says for _, says in moisture_chart(alike, INCH).key)
    assert not any("both faces" in says for _, says in moisture_chart(other, INCH).key)


def test_a_daily_swing_does_not_blacken_the_air():
    result = result_of()
    chart = air_chart(result, INCH)
    humidity = chart.panels[0].curves[0].path
    assert humidity.count("L") + humidity.count("M") == 120
    assert ("line humidity", "relative humidity, daily means") in chart.key
    ahead = result.ahead
    part = replace(ahead, air=ahead.air.part(0, 24 * 20), source=ahead.source[: 24 * 20])
    short = replace(result, ahead=part)
    assert ("line humidity", "relative humidity") in air_chart(short, INCH).key
