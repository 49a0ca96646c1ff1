"""A small invented engine that has one of everything the list must deal with.

Sump front or rear on one rail joint; an adapter plate that is only sometimes in
the stack; three main bearings whose size is measured; a filter with an
alternate; lifters sold as a set; a pump that includes its seal; washers by the
hole; a nut on a stud that stays; coolant that two steps use.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from bomsvc.core.catalogue import Catalogue
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import Compiled, compile_catalogue
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve import Clashing, Resolved, read_scope, resolve
from bomsvc.intake.document import read_document

TEXT = """
format: 1
family: {code: dipper, name: Dipper, note: invented, series: {main: 3},
         serial: {prefixes: {N: plant.north}}}
options:
  - {code: plant, label: Works, choices: [{code: north, label: North}, {code: south, label: South}]}
  - code: sump
    label: Sump
    ask: Where is the deep end of the sump?
    choices: [{code: front, label: Front, tell: deep under the damper},
              {code: rear, label: Rear, tell: deep at the flywheel}]
  - code: plate
    label: Adapter plate
    ask: Is there a plate between pan and block?
    choices: [{code: none, label: None}, {code: thick, label: Thick plate, tell: a plate as thick as a thumb},
              {code: shim, label: Shim plate}]
  - code: filter
    label: Filter
    ask: How many filters are there?
    choices: [{code: one, label: One}, {code: two, label: Two}]
  - code: main_size
    label: Main bearing size
    each: main
    known: measured
    choices: [{code: std, label: Standard, band_mm: [79.98, 80]},
              {code: us25, label: 0.25 under, band_mm: [79.73, 79.75]}]
  - {code: pump_kind, label: Pump, choices: [{code: plain, label: Plain}, {code: whole, label: Complete}]}
rules:
  - {code: r1, when: plate = thick, then: sump = rear, because: the thick plate is for the rear sump}
sections:
  - {code: bottom, label: Bottom end}
  - {code: oil, label: Oil, under: bottom}
  - {code: front, label: Front}
positions:
  - {code: block, label: Block, section: bottom}
  - {code: pan, label: Pan, section: oil}
  - {code: pan_gasket, label: Pan gasket, section: oil, note: dry both faces}
  - {code: plate, label: Adapter plate, section: oil, exists: plate != none}
  - {code: plate_gasket, label: Plate gasket, section: oil, exists: plate != none}
  - {code: washers, label: Rail washers, section: oil}
  - {code: main_shell, label: Main shells, section: bottom, each: main}
  - {code: main_cap, label: Main cap, section: bottom, each: main}
  - {code: main_screws, label: Spare, section: bottom, fill: optional}
  - {code: oil_filter, label: Oil filter, section: oil}
  - {code: pump, label: Water pump, section: front}
  - {code: pump_seal, label: Water pump seal, section: front}
  - {code: pump_gasket, label: Water pump gasket, section: front}
  - {code: pump_stud, label: Pump studs, section: front}
  - {code: pump_nut, label: Pump nuts, section: front}
  - {code: shims, label: Shims, section: front, fill: several}
parts:
  - number: D01
    name: Block
    holes:
      rail: {thread: M10, form: blind, threaded_mm: 26, drilled_mm: 36, material: grey_iron}
      cap: {thread: M12, form: blind, threaded_mm: 34, drilled_mm: 44, material: grey_iron}
      pump: {thread: M8, form: blind, threaded_mm: 20, drilled_mm: 28, material: grey_iron}
  - {number: D10, name: Front pan, mass_kg: 9, pads: {rail: {mm: 12, tol: 0.3}}, renew_with: [washers]}
  - {number: D11, name: Rear pan, mass_kg: 31, pads: {rail: {mm: 12, tol: 0.3}}}
  - {number: D12, name: Pan gasket, kind: gasket, pads: {rail: {mm: 0.8, tol: 0.1, soft: true, free_mm: 1.2}}}
  - {number: D13, name: Thick plate, pads: {rail: {mm: 20, tol: 0.2}}, hand: chamfer up}
  - {number: D14, name: Shim plate, pads: {rail: {mm: 1, tol: 0.1}}}
  - {number: D15, name: Washer, kind: washer, reuse: single, pads: {face: {mm: 2, tol: 0.2}}}
  - {number: D20, name: Main shell standard, sold_as: {number: D29, contents: [{part: D20, qty: 2}]}}
  - {number: D21, name: Main shell 0.25, not_sold: machined to order}
  - {number: D29, name: Set of main shells}
  - {number: D22, name: Main cap, keep_matched: to its bearing, pads: {seat: {mm: 40, tol: 0.1}}}
  - {number: D30, name: Oil filter, kind: filter}
  - {number: D31, name: Oil filter long life, kind: filter}
  - {number: D40, name: Pump, includes: [pump_seal], pads: {flange: {mm: 14, tol: 0.2}}}
  - {number: D41, name: Pump bare, pads: {flange: {mm: 14, tol: 0.2}}}
  - {number: D42, name: Pump seal, kind: seal}
  - {number: D43, name: Pump gasket, kind: gasket, pads: {flange: {mm: 0.5, tol: 0.05, soft: true}}}
  - {number: D44, name: Stud, kind: stud,
     stud: {hole_thread: M8, nut_thread: M8, property_class: "8.8", length_mm: 48, set_mm: 16}}
  - {number: D45, name: Nut, kind: nut, nut: {standard: ISO 4032, thread: M8}}
  - {number: D46, name: Shim 0.1, kind: shim}
  - {number: D80, name: Screw M10x40, kind: screw, screw: {standard: ISO 4762, thread: M10, length_mm: 40, property_class: "10.9"},
     cautions: [do not oil]}
  - {number: D81, name: Screw M10x35, kind: screw, reuse: single, screw: {standard: ISO 4762, thread: M10, length_mm: 35, property_class: "10.9"}}
  - {number: D84, name: Screw M10x55, kind: screw, screw: {standard: ISO 4762, thread: M10, length_mm: 55, property_class: "10.9"}}
  - {number: D82, name: Cap screw, kind: screw, reuse: {max_length_mm: 62.5, max_uses: 3},
     screw: {standard: ISO 4014, thread: M12, length_mm: 60, property_class: "10.9"}}
  - {number: D90, name: Oil, kind: fluid, unit: LTR}
  - {number: D91, name: Coolant, kind: fluid, unit: LTR}
fitments:
  - {position: block, part: D01}
  - {position: pan, part: D10, when: sump = front}
  - {position: pan, part: D11, when: sump = rear}
  - {position: pan_gasket, part: D12}
  - {position: plate, part: D13, when: plate = thick}
  - {position: plate, part: D14, when: plate = shim}
  - {position: plate_gasket, part: D12}
  - {position: washers, part: D15}
  - {position: main_shell, part: D20, qty: 2, when: main_size = std}
  - {position: main_shell, part: D21, qty: 2, when: main_size = us25}
  - {position: main_cap, part: D22}
  - {position: oil_filter, part: D30, qty: 1, when: filter = one}
  - {position: oil_filter, part: D30, qty: 2, when: filter = two}
  - {position: oil_filter, part: D31, rank: 2, when: filter = one, note: change at twice the hours}
  - {position: pump, part: D40, when: pump_kind = whole}
  - {position: pump, part: D41, when: pump_kind = plain}
  - {position: pump_seal, part: D42}
  - {position: pump_gasket, part: D43}
  - {position: pump_stud, part: D44}
  - {position: pump_nut, part: D45}
  - {position: shims, part: D46, qty: 2, when: plant = north}
joints:
  - code: rail
    label: Pan rail
    seals: [pan_gasket, plate_gasket]
    screw: {standard: [ISO 4762], thread: M10, property_class: "10.9"}
    into: {position: block, hole: rail}
    groups:
      - code: a
        label: long side
        holes: [{hole: 1, x: 0, y: 0}, {hole: 2, x: 100, y: 0}, {hole: 3, x: 100, y: 60}]
        layers: [{position: washers, pad: face, per: hole}, {position: pan, pad: rail}, {position: pan_gasket, pad: rail},
                 {position: plate, pad: rail}, {position: plate_gasket, pad: rail}]
      - code: b
        exists: sump = rear
        holes: [{hole: 4, x: 0, y: 60}]
        layers: [{position: washers, pad: face, per: hole}, {position: pan, pad: rail}, {position: pan_gasket, pad: rail},
                 {position: plate, pad: rail}, {position: plate_gasket, pad: rail}]
    tighten: {passes: [{order: [1, 3, 2, 4], torque_nm: 48}]}
  - code: cap
    label: Main cap
    each: main
    seals: []
    groups:
      - code: c
        holes: [{hole: 1, x: 0, y: 0}, {hole: 2, x: 90, y: 0}]
        layers: [{position: main_cap, pad: seat}]
        into: {position: block, hole: cap}
        screw: {standard: [ISO 4014], thread: M12, property_class: "10.9"}
  - code: pump
    label: Pump flange
    seals: [pump_gasket]
    groups:
      - code: s
        holes: [{hole: 1, x: 0, y: 0}, {hole: 2, x: 50, y: 0}, {hole: 3, x: 50, y: 50}]
        layers: [{position: pump, pad: flange}, {position: pump_gasket, pad: flange}]
        into: {position: block, hole: pump, nut: pump_nut}
        stud: {position: pump_stud, stays: true}
steps:
  - {code: drain_oil, label: Drain the oil, minutes_off: 10, then: [fill_oil], cautions: [hot oil]}
  - {code: fill_oil, label: Fill oil, minutes_on: 6, uses: [{part: D90, qty: 12, when: sump = front}, {part: D90, qty: 14, when: sump = rear}]}
  - {code: pan_off, label: Take the pan off, frees: [pan], opens: [rail], needs: [drain_oil], minutes_off: 20, minutes_on: 25, tools: [torque wrench]}
  - {code: plate_off, label: Take the plate off, exists: plate != none, frees: [plate], needs: [pan], minutes_off: 5, minutes_on: 5}
  - {code: cap_off, label: Take a cap off, each: main, frees: [main_cap, main_shell], opens: [cap], needs: [pan], minutes_off: 6, minutes_on: 9}
  - {code: drain_water, label: Drain coolant, minutes_off: 8, then: [fill_water]}
  - {code: fill_water, label: Fill coolant, minutes_on: 7, uses: [{part: D91, qty: 20}]}
  - {code: pump_off, label: Pump off, frees: [pump, pump_seal], opens: [pump], needs: [drain_water], minutes_off: 15, minutes_on: 15}
  - {code: filter_off, label: Filter off, frees: [oil_filter], then: [top_up], minutes_off: 3, minutes_on: 3}
  - {code: top_up, label: Top up, minutes_on: 1, uses: [{part: D90, qty: 1}]}
jobs:
  - {code: reseal_sump, label: Reseal the sump, reseal: [rail]}
  - {code: mains, label: Renew main bearings, renew: [main_shell], check: [main_cap]}
  - {code: pump_job, label: Renew the pump, renew: [pump, pump_seal]}
  - {code: filter_job, label: Change filter, renew: [oil_filter]}
  - {code: plate_job, label: Renew the plate, exists: plate != none, renew: [plate]}
  - {code: stuck_job, label: Renew the block, renew: [block]}
"""


@cache
def catalogue() -> Catalogue:
    return read_document(TEXT, "yaml")


@cache
def compiled() -> Compiled:
    return compile_catalogue(catalogue())


@cache
def reasoner() -> Reasoner:
    return Reasoner(compiled())


def known(**answers: Any) -> Known:
    """What is known; `main_size_1` stands for `main_size[1]`."""
    named = {
        f"{k[:-2]}[{k[-1]}]" if k.startswith("main_size_") else k: v
        for k, v in answers.items()
    }
    return read_answers(compiled(), named)


def full(**answers: Any) -> Known:
    """A whole build, the given answers over the plainest."""
    usual = {
        "plant": "south",
        "sump": "rear",
        "plate": "none",
        "filter": "one",
        "main_size_1": "std",
        "main_size_2": "std",
        "main_size_3": "std",
        "pump_kind": "plain",
    }
    return known(**{**usual, **answers})


def listed(known_: Known, *, by_way_of: tuple[str, ...] = (), **scope: Any) -> Resolved:
    found = resolve(
        reasoner(), known_, read_scope(compiled(), scope), by_way_of=by_way_of
    )
    assert not isinstance(found, Clashing)
    return found
