"""Sentences, hull numbers and radio identity numbers."""

import pytest

from planner.engine.sums import run_sum
from shopapp.boats.hull_number import read_hull_number
from tests.engine.sums.tables import field_refused, notes, rows_of, value

HULLS = rows_of("hull_identification_examples")
SENTENCES = rows_of("nmea0183_checksums")
DEPTH = "$SDDPT,3.6,0.0"


def warnings(text):
    return " ".join(value("sentence", "warnings", text=text))


@pytest.mark.parametrize("row", SENTENCES, ids=lambda row: row["checksum_hex"])
def test_checksums_of_a_published_raw_log(row):
    text = row["sentence_without_checksum"]
    whole = f"{text}*{row['checksum_hex']}\r\n"
    assert value("sentence", "checksum", text=text) == row["checksum_hex"]
    assert value("sentence", "valid", text=text) is None
    assert value("sentence", "valid", text=whole) is True
    assert len(whole) == int(row["length_characters_with_checksum_CR_LF"])
    too_long = f"It has {len(whole)} characters" in warnings(whole)
    assert too_long == (row["within_82_characters"] == "no")


def test_a_wrong_checksum_is_told_with_the_right_one():
    assert value("sentence", "valid", text="$HEHDT,178.3,T*1E") is False
    assert "carries 1E; the right checksum is 22" in warnings("$HEHDT,178.3,T*1E")


def test_a_checksum_keeps_its_leading_zero():
    text = next(row for row in SENTENCES if row["checksum_hex"] == "0B")
    assert value("sentence", "checksum", text=text["sentence_without_checksum"]) == "0B"


@pytest.mark.parametrize("tail", ["*", "*2", "*222", "*GG", "*22 x", "*22*22"])
def test_a_checksum_of_the_wrong_form_is_not_valid(tail):
    result = run_sum("sentence", {"text": f"$HEHDT,178.3,T{tail}"})
    assert result.values["valid"] is False
    assert "two hex digits" in result.values["warnings"][0]


def test_small_letters_pass_with_a_warning():
    row = next(row for row in SENTENCES if row["checksum_hex"] == "7B")
    text = f"{row['sentence_without_checksum']}*7b"
    assert value("sentence", "valid", text=text) is True
    assert "capitals" in warnings(text)


def test_sentences_run_together_or_without_a_start_are_warned_of():
    assert "run together" in warnings(f"{DEPTH}{DEPTH}")
    assert "starts with $ or !" in warnings(DEPTH[1:])
    assert value("sentence", "checksum", text=DEPTH[1:]) == value(
        "sentence", "checksum", text=DEPTH
    )
    assert warnings(f"!{DEPTH[1:]}") == ""


@pytest.mark.parametrize("text", ["", "  ", "$SDDPT,3,6°", "$SD\tDPT", "$\0"])
def test_what_is_no_sentence_is_refused(text):
    assert field_refused("sentence", text=text) == "text"


@pytest.mark.parametrize("row", HULLS, ids=lambda row: row["hull_identification_number"])
def test_hull_numbers_of_33_cfr_181_25(row):
    found = run_sum("hull_number", {"text": row["hull_identification_number"]}).values
    assert found["valid"] == (row["verdict"] == "valid")
    assert bool(found["faults"]) == (row["verdict"] == "invalid")


@pytest.mark.parametrize(
    ("text", "month", "built", "model"),
    [
        ("XQZ12345A626", 1, 2026, 26),
        ("XQZA1B2CL526", 12, 2025, 26),
        ("XQZ00001H627", 8, 2026, 27),
        ("XQZ00001H900", 8, 1999, 0),
        ("XQZ00001I485", 9, 1984, 85),
        ("XQZ12345A625", 1, 2026, 25),
        ("XQZ12345A725", 1, 2017, 25),
    ],
)
def test_month_and_year_of_a_hull_number(text, month, built, model):
    found = run_sum("hull_number", {"text": text}).values
    assert (found["built_month"], found["built_year"], found["model_year"]) == (month, built, model)


def test_a_hull_number_is_stored_in_capitals_without_blanks():
    assert value("hull_number", "as_stored", text=" xqz 12345 a626 ") == "XQZ12345A626"
    assert value("hull_number", "valid", text=" xqz 12345 a626 ") is True


def test_faults_name_the_place_in_the_hull_number():
    faults = value("hull_number", "faults", text="XQZ1O345M6X6")
    assert len(faults) == 3
    assert "place 5" in faults[0]
    assert value("hull_number", "model_year", text="XQZ1O345M6X6") is None


def test_years_far_apart_are_warned_of_not_refused():
    assert value("hull_number", "valid", text="XQZ12345A126") is True
    assert "read the plate again" in notes("hull_number", text="XQZ12345A126")
    assert "read the plate again" not in notes("hull_number", text="XQZ12345A526")


@pytest.mark.parametrize("row", HULLS, ids=lambda row: row["hull_identification_number"])
def test_the_boat_page_reads_hull_numbers_the_same_way(row):
    text = row["hull_identification_number"]
    page, ours = read_hull_number(text), run_sum("hull_number", {"text": text}).values
    assert (not page.faults) == ours["valid"]
    assert (page.text, page.month, page.model_year) == (
        ours["as_stored"],
        ours["built_month"],
        ours["model_year"],
    )


MMSI_KINDS = {
    "ship station": "ship",
    "group of ships": "group",
    "coast station": "coast",
    "search and rescue aircraft": "aircraft",
    "aid to navigation": "aid",
    "craft of a parent ship": "craft",
    "AIS search and rescue transmitter": "sart",
    "man overboard device": "mob",
    "EPIRB with AIS": "epirb",
    "hand-held VHF": "handheld",
}


@pytest.mark.parametrize("row", rows_of("mmsi_formats"), ids=lambda row: row["format"])
def test_formats_of_itu_r_m_585(row):
    number = row["format"].replace("MID", "366").replace("X", "1")
    assert value("mmsi", "kind", text=number) == MMSI_KINDS[row["kind"]]
    assert value("mmsi", "valid", text=number) is True
    if "MID" in row["format"]:
        nowhere = row["format"].replace("MID", "200").replace("X", "1")
        assert value("mmsi", "valid", text=nowhere) is False
        assert "from memory" in value("mmsi", "fault", text=nowhere)


@pytest.mark.parametrize("mid", [201, 775])
def test_the_first_and_last_country_figures(mid):
    assert value("mmsi", "kind", text=f"{mid}000001") == "ship"


@pytest.mark.parametrize(
    "text",
    ["3380001234", "33800012", "100123456", "33800012A", "776000001", "971000001", "³38000123"],
)
def test_what_is_no_identity_number_has_a_fault_and_no_kind(text):
    found = run_sum("mmsi", {"text": text}).values
    assert found["valid"] is False
    assert found["kind"] is None
    assert found["fault"]
