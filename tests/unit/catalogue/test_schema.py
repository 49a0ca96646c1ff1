"""The JSON Schema and the table of defaults say what the reader does."""

from __future__ import annotations

import json
from copy import deepcopy
from pathlib import Path
from typing import Any

import jsonschema  # type: ignore[import-untyped]
import pytest

from bomsvc.core.catalogue import (
    canonical_bytes,
    canonical_tree,
    defaults_table,
    document_schema,
)
from bomsvc.core.catalogue.shape import RECORDS
from bomsvc.core.terms.json_text import read_json, write_json
from tests.unit.catalogue.sample import edited, problems_of, sample
from tests.unit.catalogue.test_problems import BLOCKS

ROOT = Path(__file__).resolve().parents[3]
VALIDATOR = jsonschema.Draft202012Validator(document_schema())


def plain(tree: Any) -> Any:
    return json.loads(write_json(tree))


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(document_schema())


def test_the_schema_on_file_is_what_the_code_says() -> None:
    on_file = (ROOT / "schemas" / "catalogue.schema.json").read_text(encoding="utf-8")
    assert json.loads(on_file) == document_schema()


def test_a_sound_document_fits_the_schema() -> None:
    VALIDATOR.validate(plain(sample()))
    VALIDATOR.validate(json.loads(canonical_bytes(sample())))


def places(tree: Any) -> list[tuple[Any, ...]]:
    """One place of each sort: lists differ in their items, not in the numbers."""
    sorts: dict[tuple[Any, ...], tuple[Any, ...]] = {}
    waiting: list[tuple[tuple[Any, ...], Any]] = [((), tree)]
    while waiting:
        way, value = waiting.pop()
        sorts[tuple("*" if isinstance(name, int) else name for name in way)] = way
        if isinstance(value, dict | list):
            names = value if isinstance(value, dict) else range(len(value))
            waiting += [((*way, name), value[name]) for name in names]
    return [way for way in sorts.values() if way]


def replaced(tree: Any, way: tuple[Any, ...], value: Any) -> Any:
    copy = deepcopy(tree)
    holder = copy
    for name in way[:-1]:
        holder = holder[name]
    holder[way[-1]] = value
    return copy


@pytest.mark.parametrize(
    "value", [None, True, [], {}, "x", -1], ids=lambda value: json.dumps(value)
)
def test_what_the_reader_takes_fits_the_schema(value: Any) -> None:
    # Every place of a document is given a value of another kind in turn; where the
    # reader takes it, the schema must take it too.
    tree = canonical_tree(sample())
    strange = read_json(json.dumps(value))
    taken = 0
    for way in places(tree):
        changed = replaced(tree, way, strange)
        if not problems_of(changed):
            taken += 1
            VALIDATOR.validate(plain(changed))
    assert taken < len(places(tree)) / 2


FORM_CODES = {
    "unknown_field",
    "missing_field",
    "wrong_type",
    "unknown_word",
    "wrong_length",
}


def _only_form(block: list[str]) -> bool:
    lines = [line for line in block[1].split("\n") if line.startswith("/")]
    codes = {line.split(" | ")[1] for line in lines}
    return codes <= FORM_CODES and "`" not in block[1] and "needs" not in block[1]


FORM_BLOCKS = [
    block
    for block in BLOCKS
    if _only_form(block)
    and "together" not in block[1]
    and "without a limit" not in block[1]
]


@pytest.mark.parametrize("edit", [block[0] for block in FORM_BLOCKS])
def test_what_the_reader_refuses_for_its_form_the_schema_refuses(edit: str) -> None:
    pointer, value = edit.split(" := ")
    assert not VALIDATOR.is_valid(plain(edited((pointer, value))))


def test_every_optional_field_is_in_the_table_of_defaults() -> None:
    table = defaults_table()
    for record in RECORDS:
        for field in record.fields:
            row = f"| {record.name} | `{field.name}` |"
            assert (row in table) is not field.required
            assert field.doc


def test_the_table_of_defaults_says_each_default() -> None:
    table = defaults_table()
    for row in (
        "| option | `choose` | `one` \\| `any` | `one` |",
        "| option | `usual` | code, or a list of them | the first choice; where any "
        "may be chosen, none |",
        "| fitment | `qty` | quantity, decimal text above 0 | `1` |",
        "| fitment | `when` | condition | `always` |",
        "| pad | `tol` | number from 0 | `0` |",
        "| pad | `soft` | true or false | `false` |",
        "| part | `cautions` | list of text | empty |",
        "| part | `pads` | code to pad | empty |",
        "| joint | `threads` | `dry` \\| `oiled` \\| `sealant` \\| `locking` \\| "
        "`patch` | `dry` |",
    ):
        assert row in table
