"""A supplier's price file: each broken cell named by line and column, all of it taken or none."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from shopapp.errors import FactRefused, MoveRefused, UploadRefused
from shopapp.stock import price_files
from shopapp.stock.models import PriceFile, SupplierPrice
from tests.factories.catalog import PartFactory, SupplierFactory

HEAD = "Part number;Price;Order code;Days"


@pytest.fixture
def supplier(shop):
    for number in ("LD-1", "LD-2", "LD-3"):
        PartFactory(shop=shop, number=number)
    return SupplierFactory(shop=shop)


def kept(supplier, by, *rows, head=HEAD):
    body = "\r\n".join([head, *rows]).encode()
    return price_files.keep_file(supplier=supplier, name="spring.csv", body=body, by=by)


def test_a_sound_file_is_shown_first_and_taken_whole(supplier, parts_person):
    file = kept(supplier, parts_person, "LD-1;12.50;Q1;3", "ld-2;1,200.00;;", "", "OTHER;5;;")
    found = price_files.read_file(file)
    rows = [(row.line, row.part.number, row.price_cents, row.before) for row in found.rows]
    assert rows == [(2, "LD-1", 1250, None), (3, "LD-2", 120000, None)]
    assert found.unknown == [(5, "OTHER")]
    assert not SupplierPrice.objects.exists()

    assert price_files.take_file(price_file=file, by=parts_person) == 2

    prices = SupplierPrice.objects.order_by("part__number")
    assert [(row.number, row.price_cents, row.lead_days) for row in prices] == [
        ("Q1", 1250, 3),
        ("", 120000, None),
    ]


@pytest.mark.parametrize(
    ("row", "column", "words"),
    [
        ("LD-2;-1;;", "Price", "below zero"),
        ("LD-2;1000000000;;", "Price", "cannot be right"),
        ("LD-2;;;", "Price", "missing"),
        ("LD-2;twelve;;", "Price", "like 1234.56"),
        ("LD-2;1.234;;", "Price", "like 1234.56"),
        ("LD-2;NaN;;", "Price", "like 1234.56"),
        ("LD-2;1e9;;", "Price", "like 1234.56"),
        (";5.00;;", "Part number", "missing"),
        ("LD-2", "Price", "missing"),
        ("LD-2;5;;soon", "Days", "whole number"),
        ("LD-2;5;;9999", "Days", "whole number"),
        ("LD-1;5;;", "Part number", "stands on line 2 already"),
        (f"LD-2;5;{'x' * 300};", "Order code", "More than 200"),
    ],
)
def test_a_broken_row_is_named_and_nothing_is_taken(supplier, parts_person, row, column, words):
    file = kept(supplier, parts_person, "LD-1;12.50;;", row, "LD-3;9;;")
    (broken,) = price_files.read_file(file).broken
    assert (broken.line, broken.column) == (3, column)
    assert words in broken.words
    with pytest.raises(FactRefused, match="Line 3"):
        price_files.take_file(price_file=file, by=parts_person)
    assert not SupplierPrice.objects.exists()


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (b"", "no column"),
        (b"name,cost\nx,1", "no column"),
        (b"part,price\n\xff\xfe,1", "Line 2 is no UTF-8"),
        (b"part,price\nA\0B,1", "no text file"),
        (b"x" * 2_000_001, "2,000,000 are taken"),
    ],
)
def test_what_is_no_price_file_is_not_kept(supplier, parts_person, body, words):
    with pytest.raises(UploadRefused, match=words):
        price_files.keep_file(supplier=supplier, name="x", body=body, by=parts_person)
    assert not PriceFile.objects.exists()


def test_a_file_is_taken_once(supplier, parts_person):
    file = kept(supplier, parts_person, "LD-1;12.50;;")
    price_files.take_file(price_file=file, by=parts_person)
    with pytest.raises(MoveRefused, match="taken or dropped already"):
        price_files.take_file(price_file=file, by=parts_person)


def test_a_second_file_changes_prices_and_says_how_many(supplier, parts_person):
    price_files.take_file(
        price_file=kept(supplier, parts_person, "LD-1;12.50;;", "LD-2;3;;"), by=parts_person
    )
    second = kept(supplier, parts_person, "LD-1;12.50;;", "LD-2;4;;")
    assert price_files.take_file(price_file=second, by=parts_person) == 1
    assert SupplierPrice.objects.count() == 2


def test_the_page_names_line_and_column(supplier, client_for, parts_person):
    client = client_for(parts_person)
    upload = SimpleUploadedFile("spring.csv", f"{HEAD}\nLD-1;-1;;\n".encode())
    url = reverse("stock:price_file_add", args=[supplier.pk])
    page = client.post(url, {"file": upload}, follow=True)
    text = page.content.decode()
    assert "Nothing is taken" in text
    assert "A price cannot be below zero." in text
    assert "Take these prices" not in text


def test_the_page_is_bound_to_role_and_shop(supplier, client_for, technician, stranger):
    url = reverse("stock:price_file_add", args=[supplier.pk])
    assert client_for(technician).get(url).status_code == 403
    assert client_for(stranger).get(url).status_code == 404
