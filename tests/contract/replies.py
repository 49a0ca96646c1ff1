"""The promised shapes of replies as JSON Schema, written out by hand."""

from __future__ import annotations

from typing import Any

from jsonschema import Draft202012Validator  # type: ignore[import-untyped]

Json = dict[str, Any]
DECIMAL = {"type": "string", "pattern": r"^[0-9]+(\.[0-9]+)?$"}
TEXTS = {"type": "array", "items": {"type": "string"}}
NUMBER_OR_NULL = {"type": ["number", "null"]}


def shape(**fields: Json) -> Json:
    """An object with at least these fields; additions are free."""
    return {"type": "object", "required": list(fields), "properties": fields}


def conforms(instance: object, schema: Json) -> None:
    """Fail where `instance` is not of this shape."""
    Draft202012Validator(schema).validate(instance)


def is_schema(schema: Json) -> None:
    """Fail where `schema` is no JSON Schema."""
    Draft202012Validator.check_schema(schema)


def many(item: Json) -> Json:
    return {"type": "array", "items": item}


def maybe(schema: Json) -> Json:
    return {"anyOf": [schema, {"type": "null"}]}


def word(*values: str | None) -> Json:
    return {"enum": list(values)}


REVISION = shape(
    family={"type": "string"},
    number={"type": "integer"},
    digest={"type": "string", "pattern": "^[0-9a-f]{64}$"},
)
CLASH = shape(
    answers=TEXTS,
    rules=TEXTS,
    repairs=many(shape(drop=TEXTS)),
    waivers=many(TEXTS),
)
IDENTIFIED = shape(
    revision=REVISION,
    consistent={"type": "boolean"},
    builds_left=maybe({"type": "string", "pattern": "^[0-9]+$"}),
    options=many(
        shape(
            code={"type": "string"},
            active=word("yes", "no", "open", None),
            known=word("build", "measured"),
            choices=many(
                shape(
                    code={"type": "string"},
                    state=word("chosen", "follows", "open", "excluded", None),
                    why={"type": "array"},
                )
            ),
        )
    ),
    clash=maybe(CLASH),
)
SIZED = shape(
    chosen=maybe(
        shape(
            designation={"type": "string"},
            length_mm={"type": "number"},
            fully_threaded={"type": "boolean"},
        )
    ),
    failure=maybe(shape(reason={"type": "string"}, detail={"type": "string"})),
    clamp_mm={"type": "array", "items": {"type": "number"}, "minItems": 3},
    needed_mm=NUMBER_OR_NULL,
    governs=word("stripping", "guide", "stated", None),
    engagement_mm=maybe(many({"type": "number"})),
    margin_mm=maybe(
        shape(short=NUMBER_OR_NULL, over=NUMBER_OR_NULL, shank=NUMBER_OR_NULL)
    ),
    tip_mm=maybe(many(NUMBER_OR_NULL)),
    alternatives={"type": "array"},
    rejected=many(shape(length_mm={"type": "number"}, reason={"type": "string"})),
    cautions=TEXTS,
)
PLACE = {
    "anyOf": [
        shape(position={"type": "string"}),
        shape(
            joint={"type": "string"},
            group={"type": "string"},
            holes=many({"type": "integer"}),
        ),
        shape(step={"type": "string"}),
    ]
}
LINE = shape(
    part={"type": ["string", "null"]},
    name={"type": "string"},
    qty=DECIMAL,
    take=DECIMAL,
    unit={"type": "string"},
    order=maybe(shape(part={"type": "string"}, qty=DECIMAL)),
    need=word("renew", "check"),
    state=word("certain", "open"),
    places=many(PLACE),
    positions=TEXTS,
    why={"type": "array", "minItems": 1},
    decided_by=TEXTS,
    waits_on=TEXTS,
    limit={},
    instructions=TEXTS,
    screw=maybe(SIZED),
    cases={"type": "array"},
    alternates={"type": "array"},
    supply={},
    cautions=TEXTS,
    brings=many(
        shape(
            position={"type": "string"},
            part={"type": "string"},
            name={"type": "string"},
            qty=DECIMAL,
            state=word("certain", "open"),
        )
    ),
)
CANDIDATE = shape(
    parts=many(shape(part={"type": ["string", "null"]}, qty=DECIMAL)),
    screw=maybe(SIZED),
)
CHOICE = shape(
    code={"type": "string"},
    label={"type": "string"},
    tell={"type": ["string", "null"]},
)
STEP = shape(
    step={"type": "string"},
    phase=word("strip", "refit"),
    order={"type": "integer"},
    minutes={"type": "number"},
    lift_kg=NUMBER_OR_NULL,
    opens=TEXTS,
    loosens=TEXTS,
    decided_by=TEXTS,
)
RESOLVED = shape(
    revision=REVISION,
    certain={"type": "boolean"},
    certain_but_measured={"type": "boolean"},
    lines=many(LINE),
    open=many(shape(place=PLACE, candidates=many(CANDIDATE), decided_by=TEXTS)),
    questions=many(
        shape(
            option={"type": "string"},
            ask={"type": "string"},
            choices=many(CHOICE),
            expected_after={"type": "number"},
            exact={"type": "boolean"},
        )
    ),
    to_measure=many(shape(option={"type": "string"}, bands={"type": "array"})),
    work=maybe(
        shape(
            steps=many(STEP),
            minutes={"type": "array", "minItems": 2, "maxItems": 2},
            basis=word("exact", "may_matter"),
            optimal={"type": "boolean"},
            other_way={},
        )
    ),
    joints=many(
        shape(
            joint={"type": "string"},
            groups={"type": "array"},
            passes={"type": "array"},
            svg={"type": ["string", "null"]},
        )
    ),
    notices={"type": "array"},
    faults=many(
        shape(code={"type": "string"}, at={"type": "string"}, detail={"type": "string"})
    ),
)
