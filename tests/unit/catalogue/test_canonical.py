"""The canonical form: one text, and so one digest, for one meaning."""

from __future__ import annotations

import json
from hashlib import sha256

import pytest
import rfc8785

from bomsvc.core.catalogue import (
    canonical_bytes,
    canonical_tree,
    digest,
    read_catalogue,
)
from bomsvc.core.terms.json_text import read_json, write_json
from bomsvc.core.terms.problems import BadInput
from bomsvc.intake.document import read_document
from bomsvc.intake.yaml_text import write_yaml
from tests.unit.catalogue.sample import GONE, SAMPLE_YAML, edited, sample

SAMPLE_DIGEST = "1524ca47989d9f108f46b606bc013ff6fb5f4ed01f00b8b9f4d7e8f67d1e4001"


def test_the_samples_digest_never_changes() -> None:
    # Digests of published revisions are kept for years: a change here is a change
    # of the format, and needs a new `format` number.
    assert digest(sample()) == SAMPLE_DIGEST


def test_the_digest_is_of_the_canonical_bytes() -> None:
    catalogue = read_catalogue(sample())
    assert catalogue.digest == sha256(catalogue.canonical).hexdigest()
    assert digest(catalogue) == catalogue.digest
    assert canonical_bytes(catalogue) == catalogue.canonical


def test_the_canonical_bytes_are_rfc_8785() -> None:
    canonical = canonical_bytes(sample())
    assert rfc8785.dumps(json.loads(canonical)) == canonical


@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("/family/name", '"\\U0001F980 \\uE000"'),
        ("/parts/0/mass_kg", "0.000001"),
        ("/parts/0/mass_kg", "0.00001"),
        ("/parts/0/mass_kg", "999999.999999"),
        ("/parts/0/name", "3e-05"),
        ("/family/note", '"\\u2028\\t\\"\\\\ \\u00e9\\n"'),
    ],
)
def test_rare_characters_and_figures_are_written_as_rfc_8785_says(
    pointer: str, value: str
) -> None:
    canonical = canonical_bytes(edited((pointer, value)))
    assert rfc8785.dumps(json.loads(canonical)) == canonical


def test_prefixes_beyond_the_first_plane_sort_as_rfc_8785_says() -> None:
    tree = sample()
    tree["family"]["serial"]["prefixes"] = {
        "\U0001f980": "plant.north",
        "\uff21x": "plant.south",
    }
    canonical = canonical_bytes(tree)
    assert rfc8785.dumps(json.loads(canonical)) == canonical


def test_reading_the_canonical_form_gives_it_again() -> None:
    catalogue = read_catalogue(sample())
    tree = canonical_tree(catalogue)
    assert canonical_bytes(tree) == catalogue.canonical
    assert read_catalogue(tree) == catalogue
    assert canonical_tree(tree) == tree


def test_yaml_and_json_of_one_document_have_one_digest() -> None:
    tree = canonical_tree(sample())
    assert read_document(write_yaml(tree), "yaml").digest == SAMPLE_DIGEST
    assert read_document(write_json(tree), "json").digest == SAMPLE_DIGEST
    assert read_document(SAMPLE_YAML.encode(), "yaml").digest == SAMPLE_DIGEST


def test_the_canonical_tree_has_fields_in_the_order_of_the_table() -> None:
    tree = canonical_tree(sample())
    assert isinstance(tree, dict)
    assert list(tree)[:3] == ["format", "family", "options"]


SAME = [
    ("/options/0/choose", "one"),
    ("/options/0/known", "build"),
    ("/options/0/usual", "north"),
    ("/options/5/usual", "[]"),
    ("/rules/0/strength", "factory"),
    ("/rules/0/then", "(gears=quiet)"),
    ("/rules/0/then", "gears in (quiet)"),
    ("/rules/1/then", "main_size in(std,us25,std)"),
    ("/positions/0/exists", "always"),
    ("/positions/0/fill", "one"),
    ("/parts/0/kind", "component"),
    ("/parts/0/unit", "C62"),
    ("/parts/0/reuse", "freely"),
    ("/parts/0/includes", "[]"),
    ("/parts/0/pads", "{}"),
    ("/parts/0/mass_kg", "110.50"),
    ("/parts/0/mass_kg", "1.105e2"),
    ("/parts/1/pads/rail", "{mm: 12, plus: 0.3, minus: 0.30}"),
    ("/parts/1/pads/rail", "{mm: 12, tol: 0.3, soft: false}"),
    ("/parts/7/stud/set_minus", "0"),
    ("/parts/4/screw/property_class", '"8.8"'),
    ("/parts/4/screw/preferred", "false"),
    ("/fitments/0/qty", "1"),
    ("/fitments/0/qty", '"1.000"'),
    ("/fitments/12/qty", '"02.0"'),
    ("/fitments/0/rank", "1"),
    ("/fitments/0/when", "always"),
    ("/fitments/0/part", '"w40.1000 "'),
    ("/fitments/6/when", '"(serial<030000)or not extras=guard"'),
    ("/joints/0/groups/0/threads", "oiled"),
    ("/joints/1/threads", "dry"),
    ("/joints/1/groups/0/threads", "dry"),
    ("/joints/0/groups/0/into", "{position: block, hole: rail}"),
    (
        "/joints/0/groups/0/screw",
        "{standard: [ISO 4762, ISO 4014], thread: M8, property_class: 8.8}",
    ),
    ("/joints/0/groups/0/layers/1/per", "joint"),
    ("/joints/0/groups/0/layers/1/count", "1"),
    ("/joints/0/groups/0/layers/1/count", '"1"'),
    ("/joints/0/groups/1/holes/0", "{hole: 3.0}"),
    ("/steps/0/minutes_on", "0"),
    ("/steps/0/cautions", "[]"),
    ("/options/5/like", GONE),
    ("/family/series", "{main: 5, cylinder: 4}"),
]


@pytest.mark.parametrize(("pointer", "value"), SAME)
def test_what_means_the_same_has_the_same_digest(pointer: str, value: str) -> None:
    edits = [(pointer, value)]
    if value == GONE:
        # Without `like` the option writes out what it took over.
        edits += [
            ("/options/5/choose", "any"),
            ("/options/5/ask", "What is fitted besides?"),
            (
                "/options/5/choices",
                "[{code: heater, label: Block heater}, "
                "{code: guard, label: Belt guard}]",
            ),
        ]
    assert digest(edited(*edits)) == SAMPLE_DIGEST


OTHER = [
    ("/options/0/usual", "south"),
    ("/options/5/usual", "[guard]"),
    ("/rules/0/then", "not gears = plain"),
    ("/rules/0/strength", "physical"),
    ("/parts/1/pads/rail", "{mm: 12, plus: 0.3}"),
    ("/parts/1/pads/rail", "{mm: 12, minus: 0.3}"),
    ("/parts/0/number", "W40.1000x"),
    ("/fitments/0/qty", "1.000001"),
    ("/joints/0/groups/0/threads", "dry"),
    ("/joints/0/groups/0/into", "{position: block, hole: deep}"),
    ("/joints/0/groups/0/layers", "[]"),
    ("/family/note", "invented."),
]


@pytest.mark.parametrize(("pointer", "value"), OTHER)
def test_what_means_something_else_has_another_digest(pointer: str, value: str) -> None:
    edits = [(pointer, value)]
    if pointer == "/parts/0/number":
        edits.append(("/fitments/0/part", "w40.1000X"))
    assert digest(edited(*edits)) != SAMPLE_DIGEST


def test_the_order_of_a_list_counts() -> None:
    tree = sample()
    tree["rules"].reverse()
    assert digest(tree) != SAMPLE_DIGEST


def test_the_order_of_fields_does_not_count() -> None:
    def turned(value: object) -> object:
        if isinstance(value, dict):
            return {key: turned(each) for key, each in reversed(value.items())}
        return [turned(each) for each in value] if isinstance(value, list) else value

    tree = turned(sample())
    catalogue = read_catalogue(tree)  # type: ignore[arg-type]
    assert catalogue.digest == SAMPLE_DIGEST
    assert list(catalogue.parts[1].pads) == list(read_catalogue(sample()).parts[1].pads)


def test_a_bad_document_has_no_digest() -> None:
    with pytest.raises(BadInput):
        digest(edited(("/options", "5")))


def test_the_sample_written_as_json_reads_as_it_was() -> None:
    tree = sample()
    assert read_json(write_json(tree)) == tree
