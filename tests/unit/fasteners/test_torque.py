"""Estimated torques: what they say, when they are refused, stated ones checked."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from bomsvc.core.fasteners.cautions import ON_TORQUES, caution_texts, length_cautions
from bomsvc.core.fasteners.engagement import required_engagement
from bomsvc.core.fasteners.names import get_class, get_screw_standard
from bomsvc.core.fasteners.threads import get_thread
from bomsvc.core.fasteners.torque import (
    TorqueAsk,
    bearing_of,
    clearance_mm,
    estimate_torque,
    friction_class,
    overstress,
    rounded_down,
)

F = Fraction
M10 = TorqueAsk(get_screw_standard("ISO 4014"), get_thread("M10"), get_class("8.8"))


@pytest.mark.parametrize(
    ("exact", "shown"),
    [("48.46", "48"), ("592.4", "590"), ("5.87", "5.8"), ("99.99", "99"), ("10", "10")],
)
def test_a_guide_torque_is_rounded_down_to_two_figures(exact: str, shown: str) -> None:
    assert rounded_down(Decimal(exact)) == Decimal(shown)


def test_lower_friction_gives_more_preload_and_less_torque() -> None:
    slippery = dict(estimate_torque(M10._replace(friction=F("0.08"))).formulas)
    sticky = dict(estimate_torque(M10._replace(friction=F("0.16"))).formulas)
    assert slippery["preload"].value > sticky["preload"].value
    assert slippery["torque"].value < sticky["torque"].value
    assert slippery["nut_factor"].value < sticky["nut_factor"].value


def test_the_nut_factor_form_gives_the_same_torque() -> None:
    formulas = dict(estimate_torque(M10).formulas)
    short_form = formulas["nut_factor"].value * formulas["preload"].value * 10
    assert abs(short_form - formulas["torque"].value) < Decimal("1e-20")


def test_an_assumed_friction_is_said_and_a_stated_one_is_not() -> None:
    assumed, stated = (
        estimate_torque(M10),
        estimate_torque(M10._replace(friction=F("0.12"))),
    )
    assert assumed.notes[0].startswith("Friction 0.12 is assumed")
    assert len(stated.notes) == 1
    assert "lowest friction of class B (0.08)" in stated.notes[0]


def test_whether_the_proof_load_is_passed_at_the_lowest_friction_is_said() -> None:
    assert "above the proof load of 33.6 kN" in estimate_torque(M10).notes[1]
    gentle = estimate_torque(M10._replace(utilisation=F("0.5")))
    assert "within the proof load" in gentle.notes[1]


def test_no_torque_over_a_soft_layer() -> None:
    answer = estimate_torque(M10._replace(soft=("gasket", "ring")))
    assert answer.torque_nm is None
    assert answer.formulas == ()
    assert [r.code for r in answer.refused] == ["soft_layer"]
    assert "(gasket, ring)" in answer.refused[0].detail


@pytest.mark.parametrize("state", ["sealant", "locking", "patch"])
def test_no_torque_on_a_prepared_thread_unless_its_friction_is_stated(
    state: str,
) -> None:
    ask = M10._replace(threads=state)  # type: ignore[arg-type]
    assert [r.code for r in estimate_torque(ask).refused] == ["thread_state"]
    assert estimate_torque(ask._replace(friction=F("0.15"))).refused == ()


def test_no_torque_where_the_thread_might_strip_first() -> None:
    need = required_engagement(get_thread("M10"), get_class("8.8"), "aluminium")
    ask = M10._replace(engaged_mm=F(15), need=need, material="aluminium")
    (refusal,) = estimate_torque(ask).refused
    assert refusal.code == "engagement_short"
    assert refusal.detail.startswith("15 mm of thread engaged in aluminium, 20 mm")
    bare = ask._replace(material=None)
    assert "engaged, 20 mm needed" in estimate_torque(bare).refused[0].detail
    assert estimate_torque(ask._replace(engaged_mm=F(20))).refused == ()


def test_no_torque_without_a_bearing_face() -> None:
    ask = M10._replace(
        standard=get_screw_standard("ISO 4762"), thread=get_thread("M18")
    )
    (refusal,) = estimate_torque(ask).refused
    assert refusal.code == "no_bearing_face"
    assert overstress(F(500), ask.standard, ask.thread, ask.property_class) == ()
    unknown = get_thread("M10")._replace(shank="M11", designation="M11")
    assert clearance_mm(unknown) is None
    assert bearing_of(M10.standard, unknown) is None


def test_a_stated_torque_beyond_the_proof_load_warns() -> None:
    # M10 8.8: proof load 33.6 kN; 0.164 x 33.6 kN x 10 mm = 55 N.m at friction 0.12.
    def found(torque: int) -> list[tuple[str, str]]:
        findings = overstress(F(torque), M10.standard, M10.thread, M10.property_class)
        return [(f.code, f.severity) for f in findings]

    assert found(60) == [("screw_overstressed", "warning")]
    assert found(50) == [("screw_overstressed", "note")]
    assert found(35) == []


def test_an_overstress_is_told_with_its_figures() -> None:
    (finding,) = overstress(F(60), M10.standard, M10.thread, M10.property_class)
    assert finding.detail == (
        "60 N.m on M10 8.8 is about 36.7 kN at friction 0.12 (class B), above the "
        "proof load of 33.6 kN."
    )


@pytest.mark.parametrize(
    ("friction", "name", "lowest"),
    [("0.05", "A", "0.04"), ("0.12", "B", "0.08"), ("0.2", "C", "0.14"),
     ("0.3", "D", "0.20"), ("0.5", "E", "0.30")],
)  # fmt: skip
def test_friction_falls_into_a_class(friction: str, name: str, lowest: str) -> None:
    assert friction_class(F(friction)) == (name, F(lowest))


def test_inch_screws_have_torques_too() -> None:
    ask = TorqueAsk(
        get_screw_standard("ASME B18.2.1"), get_thread("3/8-16"), get_class("grade 5")
    )
    answer = estimate_torque(ask)
    # About 30 lbf.ft (40.7 N.m) for a lubricated 3/8-16 grade 5: common practice, no
    # source; the formula has to come within a tenth of it.
    torque = dict(answer.formulas)["torque"].value
    assert abs(torque - Decimal("40.7")) < Decimal("4.07")


def test_cautions_come_in_their_order_and_once() -> None:
    codes = length_cautions(form="blind", breaks_into="oil")
    assert codes == (
        "maker_prevails",
        "never_mix",
        "single_use",
        "clean_dry_blind_hole",
        "sealant_on_thread",
        "local_practice",
    )
    texts = caution_texts([*codes, *ON_TORQUES])
    assert len(texts) == len(set(texts)) == 7
    assert "prevails" in texts[0]
