"""Every row of the list of check values: its own source, its own tolerance."""

import re

import pytest

from tests.engine.sums.check_rows import ELSEWHERE, NOT_TO_ASSERT, find_answer, is_elsewhere
from tests.engine.sums.tables import rows_of

ROWS = rows_of("check_values")
OURS = [row for row in ROWS if not is_elsewhere(row)]


def _asserted(row):
    return not row["tolerance"].startswith(NOT_TO_ASSERT)


def _tolerance(row):
    number = re.match(r"[\d.]+", row["tolerance"])
    return float(number[0]) if number else None


@pytest.mark.parametrize("row", [row for row in OURS if _asserted(row)], ids=lambda row: row["id"])
def test_a_sum_agrees_with_its_check_value_within_the_tolerance(row):
    answer = find_answer(row)()
    allowed = _tolerance(row)
    if allowed is None:
        assert str(answer) == row["expected"], row["source"]
    else:
        assert float(answer) == pytest.approx(float(row["expected"]), abs=allowed + 1e-9, rel=0), (
            row["source"]
        )


def test_every_row_is_asked_of_a_sum_or_belongs_to_another_part():
    assert [row["id"] for row in OURS if find_answer(row) is None] == []


def test_no_row_of_another_part_has_a_sum_here():
    both = [row["id"] for row in ROWS if is_elsewhere(row) and find_answer(row)]
    assert both == []
    assert len(ELSEWHERE) == 6


def test_the_rows_not_asserted_say_so_themselves():
    left = {row["id"]: row["status"] for row in OURS if not _asserted(row)}
    assert set(left) == {"B023", "C010", "C029", "C030", "I006", "I007"}
