"""The document's shape: one table of every record, field, form and default.

Reading, the canonical form, the JSON Schema and the table of defaults in
DEVELOPERS.md are all made from it. It is fixed by `format: 1`: the digest of every
published revision depends on it, so a default here never changes.
"""

from __future__ import annotations

from bomsvc.core.catalogue.forms.compound import ListOf
from bomsvc.core.catalogue.forms.figures import Whole
from bomsvc.core.catalogue.forms.records import Record
from bomsvc.core.catalogue.shape.common import FORMAT, list_of, needed
from bomsvc.core.catalogue.shape.joints import (
    CIRCLE,
    DRAWING,
    GROUP,
    HOLE_PLACE,
    INTO,
    JOINT,
    LAYER,
    PASS,
    SCREW_WANTED,
    STATED,
    STUD_USE,
    TIGHTEN,
)
from bomsvc.core.catalogue.shape.parts import (
    CONTENT,
    HOLE,
    NUT,
    PAD,
    PART,
    REUSE,
    SCREW,
    SOLD_AS,
    STUD,
)
from bomsvc.core.catalogue.shape.places import FITMENT, POSITION, SECTION
from bomsvc.core.catalogue.shape.tree import CHOICE, FAMILY, OPTION, RULE, SERIAL
from bomsvc.core.catalogue.shape.work import JOB, STEP, USE

DOCUMENT = Record(
    "document",
    "What a family's revision says",
    (
        needed("format", Whole(FORMAT, FORMAT), "Version of this format"),
        needed("family", FAMILY, "The family"),
        list_of("options", ListOf(OPTION), "The option tree"),
        list_of("rules", ListOf(RULE), "What goes with what"),
        list_of("sections", ListOf(SECTION), "Where on the engine"),
        list_of("positions", ListOf(POSITION), "Slots that hold parts"),
        list_of("parts", ListOf(PART), "Engineering data of each part"),
        list_of("fitments", ListOf(FITMENT), "Which part sits where, when"),
        list_of("joints", ListOf(JOINT), "Holes, layers, screws, tightening"),
        list_of("steps", ListOf(STEP), "Strip-down and refit work"),
        list_of("jobs", ListOf(JOB), "The menu a clerk picks from"),
    ),
)

RECORDS = (
    DOCUMENT, FAMILY, SERIAL, OPTION, CHOICE, RULE, SECTION, POSITION, FITMENT,
    PART, REUSE, SOLD_AS, CONTENT, PAD, HOLE, SCREW, NUT, STUD,
    JOINT, GROUP, HOLE_PLACE, LAYER, INTO, STUD_USE, SCREW_WANTED, STATED,
    TIGHTEN, PASS, DRAWING, CIRCLE, STEP, USE, JOB,
)  # fmt: skip
"""Every record, in the order of the document."""

LIKENED = {"options": "code", "parts": "number", "joints": "code", "steps": "code"}
"""Lists whose items may say `like`, and the field that names an item of each."""
