"""The drawing on paper: with no style sheet at all, in black and white."""

import io
import re

import pypdf
import pytest
from weasyprint import HTML

from shopapp.boats.drawing import draw_boat

from .drawing_samples import crowded_boat, middling_boat


@pytest.mark.slow
def test_the_printed_drawing_holds_its_words():
    page = f"<style>@page {{ size: 800px 1000px }}</style>{draw_boat(middling_boat(), width=760)}"
    pdf = pypdf.PdfReader(io.BytesIO(HTML(string=page).write_pdf()))
    words = pdf.pages[0].extract_text()
    assert len(pdf.pages) == 1
    assert "HELM-P" in words
    assert "COMES OUT" in words
    assert "terminator" in words


def test_every_shape_has_a_grey_of_its_own_without_a_style_sheet():
    svg = draw_boat(crowded_boat())
    for element in re.findall(r"<(?:path|rect|circle|text)[^>]*>", svg):
        assert "fill=" in element or "stroke=" in element, element
    for colour in set(re.findall(r"#[0-9a-f]{6}", svg)):
        red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
        assert max(red, green, blue) - min(red, green, blue) < 16, colour
