"""Documents: whatever is done to a sound one, it is read or refused with places.

The sound ones are made at random, and changed at random; both have one digest in
every face, and a canonical form that is its own.
"""

from __future__ import annotations

import random
from copy import deepcopy
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bomsvc.core.catalogue import (
    canonical_bytes,
    canonical_tree,
    digest,
    read_catalogue,
)
from bomsvc.core.terms.json_text import read_json, write_json
from bomsvc.core.terms.numbers import Number
from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.intake.document import read_document
from bomsvc.intake.yaml_text import write_yaml
from tests.oracle.documents import Knobs, document, json_text
from tests.unit.catalogue.sample import problems_of, sample

KNOBS = Knobs(joints=2, steps=4, jobs=2, variety=True)
SOUND = canonical_tree(sample())


def made(seed: int) -> Any:
    return read_json(json_text(document(seed, KNOBS)))


@pytest.mark.parametrize("seed", range(40))
def test_the_canonical_form_of_a_canonical_form_is_itself(seed: int) -> None:
    catalogue = read_catalogue(made(seed))
    tree = canonical_tree(catalogue)
    assert canonical_bytes(tree) == catalogue.canonical
    assert read_catalogue(tree) == catalogue


@pytest.mark.parametrize("seed", range(40, 70))
def test_every_face_has_the_same_digest(seed: int) -> None:
    tree = made(seed)
    expected = digest(tree)
    assert read_document(write_json(tree), "json").digest == expected
    assert read_document(write_yaml(tree), "yaml").digest == expected
    assert read_document(write_yaml(canonical_tree(tree)), "yaml").digest == expected


def _shuffled(value: Any, chance: random.Random) -> Any:
    if isinstance(value, list):
        return [_shuffled(each, chance) for each in value]
    if not isinstance(value, dict):
        return value
    keys = list(value)
    chance.shuffle(keys)
    return {key: _shuffled(value[key], chance) for key in keys}


@pytest.mark.parametrize("seed", range(30))
def test_the_order_of_fields_never_counts(seed: int) -> None:
    tree = made(seed)
    chance = random.Random(seed)  # noqa: S311 - it only shuffles
    assert digest(_shuffled(tree, chance)) == digest(tree)


STRANGE: st.SearchStrategy[Any] = (
    st.none()
    | st.booleans()
    | st.sampled_from(
        ["", " ", "x", "always", "not", "main_upper[4]", "pan[1]", "a.b", "[", "\u202e",
         "p\u200bn", "1e999", "W40.1187", "sump = rear", "(" * 99,
         "\U0001d52d\U0001d51e", "x" * 20_000]
    )
    | st.sampled_from(
        ["0", "-1", "1e999", "-1e-999", "1e99999999999999999999", "0.0000001", "1.5",
         "9" * 500, "1000000", "0x10", "007"]
    ).map(Number)
    | st.just([])
    | st.just({})
    | st.just(["x", None])
    | st.just({"code": "x", "like": "pan_rail"})
)  # fmt: skip


def _places(value: Any, way: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    found = [way] if way else []
    if isinstance(value, dict):
        for key, each in value.items():
            found += _places(each, (*way, key))
    elif isinstance(value, list):
        for index, each in enumerate(value):
            found += _places(each, (*way, index))
    return found


PLACES = _places(SOUND)


def _changed(changes: list[tuple[tuple[Any, ...], Any]]) -> Any:
    tree = deepcopy(SOUND)
    for way, value in changes:
        holder: Any = tree
        for name in way[:-1]:
            try:
                holder = holder[name]
            except (KeyError, IndexError, TypeError):
                break
        else:
            name = way[-1]
            numbered = isinstance(name, int) and isinstance(holder, list)
            if isinstance(holder, dict) or (numbered and len(holder) > name):
                holder[name] = value
    return tree


@settings(max_examples=250)
@given(st.lists(st.tuples(st.sampled_from(PLACES), STRANGE), min_size=1, max_size=4))
def test_a_changed_document_is_read_or_refused_with_its_places(
    changes: list[tuple[tuple[Any, ...], Any]],
) -> None:
    tree = _changed(changes)
    problems = problems_of(tree)
    if not problems:
        catalogue = read_catalogue(tree)
        assert canonical_bytes(canonical_tree(catalogue)) == catalogue.canonical
    assert len(set(problems)) == len(problems)
    for problem in problems:
        assert _stands(tree, problem.pointer), problem
        assert problem.code.isidentifier()
        assert problem.detail.encode()


def _stands(tree: Any, pointer: str) -> bool:
    """Whether a pointer leads to something in the document."""
    value = tree
    for part in pointer.split("/")[1:]:
        name = part.replace("~1", "/").replace("~0", "~")
        try:
            value = value[int(name)] if isinstance(value, list) else value[name]
        except (KeyError, IndexError, ValueError, TypeError):
            return False
    return True


@settings(max_examples=100)
@given(st.tuples(st.sampled_from(PLACES), STRANGE), st.sampled_from(["json", "yaml"]))
def test_problems_of_a_text_have_line_and_column(
    change: tuple[tuple[Any, ...], Any], media: Any
) -> None:
    tree = _changed([change])
    text = write_json(tree) if media == "json" else write_yaml(tree)
    lines = text.count("\n") + 1
    for problem in _told(text, media):
        assert problem.line is not None
        assert 1 <= problem.line <= lines
        assert problem.column is not None


def _told(text: str, media: Any) -> tuple[Problem, ...]:
    try:
        read_document(text, media)
    except BadInput as refusal:
        return refusal.problems
    return ()
