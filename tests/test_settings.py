"""Settings come from the environment, strictly; production refuses to start without its secret."""

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured

from shopapp import env

TOP = Path(__file__).resolve().parents[1]
SECRET = "0123456789-a-long-random-secret-of-more-than-fifty-characters"


def manage(*words, **settings):
    ours = ("DESK_", "DJANGO_")
    clean = {name: value for name, value in os.environ.items() if not name.startswith(ours)}
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=TOP,
        env=clean | settings,
        capture_output=True,
        text=True,
        check=False,
    )


def test_production_refuses_to_start_without_a_secret(tmp_path):
    done = manage("check", DESK_MODE="production", DESK_DATA_DIR=str(tmp_path))
    assert done.returncode != 0
    assert "DESK_SECRET_KEY must be set in production" in done.stderr


def test_the_deploy_check_is_clean_with_production_settings(tmp_path):
    done = manage(
        *("check", "--deploy", "--fail-level", "WARNING"),
        DESK_MODE="production",
        DESK_SECRET_KEY=SECRET,
        DESK_ALLOWED_HOSTS="desk.example",
        DESK_DATA_DIR=str(tmp_path),
    )
    assert done.returncode == 0, done.stderr
    assert "no issues" in done.stdout


def test_development_keeps_a_random_secret_in_a_file_of_its_own(tmp_path):
    first = env.secret("DESK_NONE", data_dir=tmp_path, production=False)
    again = env.secret("DESK_NONE", data_dir=tmp_path, production=False)
    assert first == again
    assert len(first) >= 50
    assert stat.S_IMODE((tmp_path / "secret").stat().st_mode) == 0o600


def test_a_value_may_come_from_a_file(tmp_path, monkeypatch):
    file = tmp_path / "key"
    file.write_text("from the file\n")
    monkeypatch.setenv("DESK_X_FILE", str(file))
    assert env.text("DESK_X") == "from the file"


def test_a_file_that_is_not_there_stops_the_start(monkeypatch):
    monkeypatch.setenv("DESK_X_FILE", "/nowhere/at/all")
    with pytest.raises(ImproperlyConfigured, match="DESK_X_FILE: cannot read"):
        env.text("DESK_X")


@pytest.mark.parametrize(("word", "flag"), [("yes", True), ("1", True), ("off", False)])
def test_yes_and_no_are_read_in_common_words(monkeypatch, word, flag):
    monkeypatch.setenv("DESK_X", word)
    assert env.flag("DESK_X", default=not flag) is flag


def test_another_word_for_yes_or_no_stops_the_start(monkeypatch):
    monkeypatch.setenv("DESK_X", "perhaps")
    with pytest.raises(ImproperlyConfigured, match="must be yes or no"):
        env.flag("DESK_X", default=True)


@pytest.mark.parametrize("word", ["many", "1.5", "-1"])
def test_a_number_that_is_none_stops_the_start(monkeypatch, word):
    monkeypatch.setenv("DESK_X", word)
    with pytest.raises(ImproperlyConfigured, match="DESK_X"):
        env.whole("DESK_X", 3)


def test_an_address_names_the_database(monkeypatch, tmp_path):
    monkeypatch.setenv("DESK_X", "postgres://desk:p%40ss@db:5433/boats")
    found = env.database("DESK_X", data_dir=tmp_path)
    assert (found["NAME"], found["USER"], found["PASSWORD"]) == ("boats", "desk", "p@ss")
    assert (found["HOST"], found["PORT"]) == ("db", "5433")


def test_an_unknown_kind_of_database_stops_the_start(monkeypatch, tmp_path):
    monkeypatch.setenv("DESK_X", "oracle://db/boats")
    with pytest.raises(ImproperlyConfigured, match="only postgres:// or sqlite://"):
        env.database("DESK_X", data_dir=tmp_path)
