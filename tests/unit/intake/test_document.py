"""A document's text, JSON or YAML: the catalogue, or every problem with its line."""

from __future__ import annotations

import pytest

from bomsvc.core.catalogue import Limits
from bomsvc.core.terms.json_text import write_json
from bomsvc.core.terms.problems import BadInput, TooLarge
from bomsvc.intake.document import Media, read_document, read_tree
from bomsvc.intake.yaml_text import read_yaml

YAML = """\
format: 1
family: {code: bare, name: Bare}
sections:
- {code: top, label: Top}
positions:
- code: pan
  label: Oil pan
  section: tpo
- label: No code
  section: top
"""


def test_a_sound_document_is_the_same_in_both_faces() -> None:
    sound = (
        YAML.replace("tpo", "top")
        .replace("No code", "B")
        .replace("- label", "- code: b\n  label")
    )
    from_yaml = read_document(sound.encode(), "yaml")
    from_json = read_document(write_json(read_yaml(sound)).encode(), "json")
    assert from_yaml == from_json
    assert from_yaml.positions[1].code == "b"


def test_every_problem_has_its_line_and_column() -> None:
    with pytest.raises(BadInput) as caught:
        read_document(YAML, "yaml")
    assert [(p.pointer, p.line, p.column) for p in caught.value.problems] == [
        ("/positions/1", 9, 3),
        ("/positions/0/section", 8, 12),
    ]


def test_the_same_in_json() -> None:
    text = '{"format": 1,\n "family": {"code": "B",\n  "name": 5, "x/y": 1}}'
    with pytest.raises(BadInput) as caught:
        read_document(text, "json")
    assert [(p.pointer, p.line, p.column) for p in caught.value.problems] == [
        ("/family/x~1y", 3, 21),
        ("/family/code", 2, 21),
    ] or [(p.pointer, p.line, p.column) for p in caught.value.problems] == [
        ("/family/code", 2, 21),
        ("/family/x~1y", 3, 21),
    ]


def test_a_problem_of_what_is_not_written_stands_at_its_holder() -> None:
    with pytest.raises(BadInput) as caught:
        read_document("family: {code: a, name: A}", "yaml")
    [problem] = caught.value.problems
    assert (problem.pointer, problem.line, problem.column) == ("", 1, 1)


@pytest.mark.parametrize("media", ["json", "yaml"])
def test_what_cannot_be_read_strictly_is_refused_before(media: Media) -> None:
    with pytest.raises(BadInput) as caught:
        read_document('{"format": 1, "format": 1}', media)
    assert caught.value.problems[0].code == "duplicate_key"


@pytest.mark.parametrize("media", ["json", "yaml"])
def test_the_limits_hold_for_the_text(media: Media) -> None:
    with pytest.raises(TooLarge, match="at most 10 are read"):
        read_document('{"format": 1}', media, limits=Limits(bytes=10))
    with pytest.raises(TooLarge, match="deeper than 1"):
        read_tree('{"format": [1]}', media, limits=Limits(nesting=1))


def test_the_limits_hold_for_the_lists() -> None:
    with pytest.raises(TooLarge) as caught:
        read_document(YAML + "options: [{}, {}]", "yaml", limits=Limits(options=1))
    assert caught.value.problems[0].pointer == "/options"
