"""The hull number as 33 CFR 181.25 lays it down: examples with their verdicts."""

import pytest

from shopapp.boats.hull_number import read_hull_number

# Source of the form: 33 CFR 181.25. The numbers themselves are invented.
RIGHT = [("XQZ12345A626", 1, 6, 26), ("XQZA1B2CL526", 12, 5, 26), ("XQZ00001H627", 8, 6, 27)]
ODD = [
    ("XQZ12I45A626", "never has I"),
    ("XQZ1O345B626", "never has O"),
    ("XQZQ2345C626", "never has Q"),
    ("XQZ12345M626", "month, place 9"),
    ("XQZ1234A626", "11 characters"),
    ("XQZ-12345A626", "13 characters"),
    ("XQZ12345AB26", "year of build, place 10"),
    ("XQZ12345A6M6", "model year, places 11 and 12"),
]


@pytest.mark.parametrize(("text", "month", "figure", "model_year"), RIGHT)
def test_a_right_number_is_read_without_faults(
    text: str, month: int, figure: int, model_year: int
) -> None:
    read = read_hull_number(text)
    assert read.faults == ()
    assert (read.month, read.year_figure, read.model_year) == (month, figure, model_year)


@pytest.mark.parametrize(("text", "words"), ODD)
def test_an_odd_number_is_kept_and_its_fault_named(text: str, words: str) -> None:
    read = read_hull_number(text)
    assert read.text == text
    assert len(read.faults) == 1
    assert words in read.faults[0]


def test_q_is_barred_from_the_serial_only() -> None:
    assert read_hull_number("QQQ12345A626").faults == ()
    assert read_hull_number("QQQ1234QA626").faults != ()


def test_blanks_and_small_letters_are_normalised() -> None:
    assert read_hull_number(" zzz 12345 c424 ").text == "ZZZ12345C424"
    assert read_hull_number("zzz12345c424").built == "March of a year ending in 4"


def test_nothing_read_has_no_faults() -> None:
    assert read_hull_number("   ").faults == ()


@pytest.mark.parametrize("text", ["ßßß12345A626", "XQZ12345A６26", "XQZ1234٣A626"])
def test_signs_of_other_alphabets_are_faults_and_never_crash(text: str) -> None:
    assert read_hull_number(text).faults
