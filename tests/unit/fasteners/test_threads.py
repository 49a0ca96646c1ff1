"""Threads and names as people write them."""

from __future__ import annotations

from fractions import Fraction

import pytest

from bomsvc.core.fasteners.names import (
    KSI_MPA,
    class_codes,
    find_class,
    find_screw_standard,
    get_class,
    get_nut_standard,
    get_screw_standard,
    get_washer_standard,
)
from bomsvc.core.fasteners.standards import iso_4032, iso_7089, iso_7090
from bomsvc.core.fasteners.threads import (
    all_threads,
    find_thread,
    get_thread,
    nearest_thread,
)
from bomsvc.core.terms.problems import BadInput


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("M10", "M10x1.5"),
        ("M10x1.5", "M10x1.5"),
        ("M10 x 1.5", "M10x1.5"),
        ("m10x1,25", "M10x1.25"),
        ("M10\N{MULTIPLICATION SIGN}1", "M10x1"),
        ("M10*1.25", "M10x1.25"),
        ("M10-1.5", "M10x1.5"),
        ("M12x1.75-6g", "M12x1.75"),
        ("M10-6H", "M10x1.5"),
        ("M8x1.250", "M8x1.25"),
        ("3/8-16 UNC", "3/8-16 UNC"),
        ("3/8-16", "3/8-16 UNC"),
        ("3/8-24", "3/8-24 UNF"),
        ('1/2" UNF', "1/2-20 UNF"),
        ("1-8", "1-8 UNC"),
        ("1-12 UNF-2A", "1-12 UNF"),
    ],
)
def test_a_thread_is_read_as_people_write_it(typed: str, meant: str) -> None:
    assert get_thread(typed).designation == meant


def test_every_thread_reads_back_from_what_is_printed() -> None:
    for thread in all_threads():
        assert find_thread(thread.designation) == thread
        assert find_thread(thread.short) == thread


@pytest.mark.parametrize(
    ("typed", "near"),
    [
        ("M11", "M10x1.5"),
        ("M10x2", "M10x1.5"),
        ("M30x3.5", "M24x3"),
        ("3/8-18", "3/8-16 UNC"),
        ("3/8", "3/8-16 UNC"),
        ("3/8-16 UNF", "3/8-16 UNC"),
        ("1-1/8-7", "1-8 UNC"),
        ("3/8-0", "3/8-16 UNC"),
        ("0-80", "1/4-28 UNF"),
        ("G1/4", None),
        ("3/0-16", None),
        ("", None),
    ],
)
def test_an_unknown_thread_names_the_nearest(typed: str, near: str | None) -> None:
    assert find_thread(typed) is None
    assert nearest_thread(typed) == near
    with pytest.raises(BadInput) as caught:
        get_thread(typed, "/thread")
    (problem,) = caught.value.problems
    assert problem.pointer == "/thread"
    assert problem.code == "unknown_thread"
    assert problem.remedy == near
    assert (near or "no thread") in problem.detail


def test_the_figures_of_m10_are_those_of_its_profile() -> None:
    # ISO 724 and ISO 898-1, worked in the fastener study: d2 9.0257, D1 8.3762,
    # d3 8.1597, ds 8.5927.
    thread = get_thread("M10")
    assert round(float(thread.pitch_diameter_mm), 4) == 9.0257
    assert round(float(thread.internal_minor_mm), 4) == 8.3762
    assert round(float(thread.root_mm), 4) == 8.1597
    assert round(float(thread.stress_diameter_mm), 4) == 8.5927
    assert (thread.point_mm, thread.bottom_mm) == (Fraction(3), Fraction("1.5"))


def test_inch_roots_use_their_own_coefficient() -> None:
    # Fastener study: 1/2-13: dr 0.4001 in.
    thread = get_thread("1/2-13")
    assert round(float(thread.root_mm) / 25.4, 4) == 0.4001
    assert thread.inch


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("ISO 4762", "ISO 4762"),
        ("iso4762", "ISO 4762"),
        ("DIN EN ISO 4762", "ISO 4762"),
        ("EN ISO 4014", "ISO 4014"),
        ("ASME B18.2.1", "ASME B18.2.1"),
        ("asme b18.3", "ASME B18.3"),
    ],
)
def test_a_standard_is_found_by_its_common_spellings(typed: str, code: str) -> None:
    assert get_screw_standard(typed).code == code


def test_a_withdrawn_standard_is_answered_with_what_took_its_place() -> None:
    with pytest.raises(BadInput) as caught:
        get_screw_standard("DIN 912", "/standard")
    assert caught.value.problems[0].remedy == "ISO 4762"
    with pytest.raises(BadInput) as caught:
        get_nut_standard("DIN 934")
    assert caught.value.problems[0].remedy == "ISO 4032"
    with pytest.raises(BadInput) as caught:
        get_washer_standard("DIN 125")
    assert caught.value.problems[0].remedy == "ISO 7089"


def test_a_standard_of_another_kind_is_not_a_screw() -> None:
    assert find_screw_standard("ISO 4032") is None
    with pytest.raises(BadInput) as caught:
        get_screw_standard("something else entirely")
    assert caught.value.problems[0].remedy is None
    assert "Known: ISO 4014" in caught.value.problems[0].detail


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("10.9", "10.9"),
        ("10,9", "10.9"),
        ("class 8.8", "8.8"),
        ("grade 5", "grade 5"),
        ("5", "grade 5"),
        ("SAE J429 Grade 8", "grade 8"),
        ("Gr. 8", "grade 8"),
        ("ASTM A574", "A574"),
    ],
)
def test_a_property_class_is_read_as_people_write_it(typed: str, code: str) -> None:
    assert get_class(typed).code == code


def test_an_unknown_property_class_names_those_that_are_known() -> None:
    assert find_class("4.6") is None
    with pytest.raises(BadInput) as caught:
        get_class("12.8", "/property_class")
    (problem,) = caught.value.problems
    assert problem.remedy == "12.9"
    assert "grade 8 or A574" in problem.detail
    assert class_codes() == ("8.8", "10.9", "12.9", "grade 5", "grade 8", "A574")


def test_class_88_is_stronger_above_sixteen() -> None:
    weak = get_class("8.8").strength(get_thread("M16"))
    strong = get_class("8.8").strength(get_thread("M18"))
    assert (weak.proof_mpa, strong.proof_mpa) == (Fraction(580), Fraction(600))


def test_a_ksi_is_its_defined_value() -> None:
    assert round(float(KSI_MPA), 9) == 6.894757293


def test_a_class_that_has_no_row_for_a_diameter_is_a_bug() -> None:
    thread = get_thread("M10")._replace(d_mm=Fraction(500))
    with pytest.raises(AssertionError, match="has no row"):
        get_class("10.9").strength(thread)


def test_nuts_and_washers_go_by_diameter_whatever_the_pitch() -> None:
    assert iso_4032.STANDARD.height("M10x1.25") == (
        Fraction("8.04"),
        Fraction("8.4"),
    )
    assert iso_4032.STANDARD.height("M30") is None
    assert iso_7089.STANDARD.thickness("M10x1") is not None
    assert iso_7090.STANDARD.thickness("M14") is None
