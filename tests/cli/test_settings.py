"""Settings: read before a command, made only when asked, never in the way of an option."""

import pytest
from click.testing import CliRunner

from climlog.cli import main
from climlog.cli.settings import OTHER_FILE


@pytest.fixture
def file(tmp_path, monkeypatch):
    path = tmp_path / "kept" / "settings.toml"
    monkeypatch.setenv(OTHER_FILE, str(path))
    return path


def run(*arguments):
    return CliRunner().invoke(main, list(arguments))


def plain(text):
    return "".join(text.split())


def test_help_tells_where_they_are_and_makes_nothing(file):
    said = run("--help").stdout
    assert plain(str(file)) in plain(said)
    assert "notmadeyet" in plain(said)
    assert "notmadeyet" in plain(run("settings").stdout)
    assert not file.parent.exists()


def test_what_is_set_is_kept_and_what_is_emptied_goes(file):
    assert run("settings", "--units", "metric", "--maker", 'The "Alder" Joinery').exit_code == 0
    assert run("settings", "--client", "Ms Rowan").exit_code == 0
    said = run("settings").stdout
    assert 'maker: The "Alder" Joinery' in said
    assert "client: Ms Rowan" in said
    assert run("settings", "--maker", "").exit_code == 0
    assert "maker" not in run("settings").stdout.replace(str(file), "")
    assert "metric" in file.read_text(encoding="utf-8")


def test_a_command_takes_them_and_its_own_options_go_before(file):
    run("settings", "--units", "metric")
    assert "21 °C" in run("salt", "--at", "70 F").stdout
    assert "70 °F" not in run("salt", "--at", "70 F").stdout
    assert "70 °F" in run("salt", "--at", "70 F", "--units", "inch").stdout


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('unit = "metric"', 'no setting is called "unit"; did you mean "units"?'),
        ('units = "cubits"', "units are inch or metric"),
        ("maker = 3", "maker is a text"),
        ("maker = ", "settings cannot be read"),
    ],
)
def test_settings_that_cannot_be_are_one_clear_line(file, text, says):
    file.parent.mkdir()
    file.write_text(text, encoding="utf-8")
    result = run("salt", "--at", "70 F")
    assert result.exit_code == 1
    assert says in result.stderr
    assert len(result.stderr.splitlines()) == 1
    assert file.read_text(encoding="utf-8") == text


def test_help_is_given_though_the_settings_are_broken_and_the_way_out_is_told(file):
    file.parent.mkdir(parents=True)
    file.write_text('units = "metric', encoding="utf-8")
    for words in (("--help",), ("place", "--help"), ("desk", "-h"), ("settings", "--help")):
        assert run(*words).exit_code == 0
    refused = run("sheet", "piece")
    assert refused.exit_code == 1
    assert "mend that file or remove it" in refused.stderr
