"""The workbook kit keeps its word: text, values, bytes."""

from __future__ import annotations

import io
import time
import zipfile
from datetime import UTC, datetime
from decimal import Decimal

import pytest
from openpyxl import load_workbook

from bomsvc.exports.workbook import EPOCH, Book, Column, Formula, typed_word


def one_cell(value: str | Formula, *, made: datetime = EPOCH) -> bytes:
    book = Book(title="Test & more", made=made)
    sheet = book.sheet("Sheet")
    book.table(sheet, 1, [Column("Heading", 20)], [[value]])
    return book.save()


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@SUM(A1)", "=HYPERLINK(1)", "\tx", "'quoted", "00123"]
)
def test_text_that_looks_like_a_formula_or_number_stays_text(text: str) -> None:
    cell = load_workbook(io.BytesIO(one_cell(text)))["Sheet"]["A2"]
    assert (cell.value, cell.data_type) == (text, "s")


def test_characters_no_workbook_can_hold_are_replaced_and_the_rest_kept() -> None:
    cell = load_workbook(io.BytesIO(one_cell("a\x00b\x1f\ud800c")))["Sheet"]["A2"]
    assert cell.value == "a\ufffdb\ufffd\ufffdc"


@pytest.mark.parametrize("value", [Decimal("2.50"), 3, "a < b & c", ""])
def test_a_formula_shows_its_value_without_being_calculated(
    value: Decimal | int | str,
) -> None:
    raw = one_cell(Formula("SUM(B1:B2)", value))
    live = load_workbook(io.BytesIO(raw))["Sheet"]["A2"].value
    shown = load_workbook(io.BytesIO(raw), data_only=True)["Sheet"]["A2"].value
    assert live == "=SUM(B1:B2)"
    assert shown == (value if value != "" else None)


def test_the_same_content_gives_the_same_bytes_whenever_it_is_written() -> None:
    first = one_cell("x")
    time.sleep(2.1)  # The archive's own clock ticks every two seconds.
    assert one_cell("x") == first


def test_a_given_time_is_the_documents_time() -> None:
    made = datetime(2031, 5, 6, 7, 8, 9, tzinfo=UTC)
    book = load_workbook(io.BytesIO(one_cell("x", made=made)))
    assert book.properties.created == made.replace(tzinfo=None)
    assert book.properties.modified == made.replace(tzinfo=None)


def test_a_footers_ampersand_is_not_a_field_code() -> None:
    archive = zipfile.ZipFile(io.BytesIO(one_cell("x")))
    sheet = archive.read("xl/worksheets/sheet1.xml").decode()
    assert "Test &amp;&amp; more" in sheet


def test_a_list_of_words_is_chosen_from_and_nothing_else() -> None:
    book = Book(title="Test")
    sheet = book.sheet("Sheet")
    book.table(sheet, 1, [Column("Mended", 9, "note")], [[None]])
    typed_word(sheet, "A2:A2", ("yes", "no"), remedy="Choose yes or no.")
    read = load_workbook(io.BytesIO(book.save()))["Sheet"]
    (rule,) = read.data_validations.dataValidation
    assert (rule.type, rule.formula1, rule.error) == (
        "list",
        '"yes,no"',
        "Choose yes or no.",
    )


def test_a_title_has_room_above_the_line_below_it() -> None:
    book = Book(title="Test")
    sheet = book.sheet("Sheet")
    book.put(sheet, "A1", "Title", "Sheet title")
    assert sheet.row_dimensions[1].height >= 20
