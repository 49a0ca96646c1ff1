"""From lines to orders: sets, what is not sold, what needs no order."""

# Decimals compare with whole numbers here.
# mypy: disable-error-code="comparison-overlap"
from __future__ import annotations

from decimal import Decimal

from bomsvc.core.resolve.lines import Order, OrderLine
from tests.unit.resolve.compact import changed, full, known, listed

SOLD = "sold_as: {number: D29, contents: [{part: D20, qty: 2}]}"


def test_a_part_sold_only_in_a_set_is_ordered_as_the_set() -> None:
    found = listed(full(), jobs=["mains"])
    line = next(line for line in found.lines if line.part == "D20")
    assert (line.qty, line.order) == (6, Order("D29", Decimal(3)))


def test_a_set_begun_is_a_set_ordered() -> None:
    draft = changed((SOLD, SOLD.replace("qty: 2", "qty: 4")))
    found = listed(full(), draft=draft, jobs=["mains"])
    line = next(line for line in found.lines if line.part == "D20")
    assert (line.qty, line.order) == (6, Order("D29", Decimal(2)))


def test_the_scarcest_of_a_sets_contents_says_how_many_sets() -> None:
    both = "contents: [{part: D20, qty: 2}, {part: D22, qty: 1}]}"
    draft = changed(
        (SOLD, SOLD.replace("contents: [{part: D20, qty: 2}]}", both)),
        (
            "{number: D22, name: Main cap,",
            f"{{number: D22, name: Main cap, sold_as: {{number: D29, {both},",
        ),
    )
    found = listed(full(), draft=draft, positions=["main_shell[1]", "main_cap"])
    assert [line.qty for line in found.lines] == [2, 3]
    # One set would do for the shells; three caps need three sets, and those do.
    assert {line.order for line in found.lines} == {Order("D29", Decimal(3))}
    assert found.orders == (OrderLine("D29", Decimal(3), ("D20", "D22")),)


def test_orders_add_up_where_a_part_stands_on_two_lines() -> None:
    found = listed(full(plate="none"), joints=["rail"])
    (order,) = [one for one in found.orders if one.part == "D81"]
    assert order.qty == 4


def test_nothing_is_ordered_for_a_check() -> None:
    found = listed(full(plate="thick"), jobs=["reseal_sump"])
    (line,) = [one for one in found.lines if str(one.places[0]) == "rail.a"]
    assert line.order is None


def test_a_part_that_is_not_to_be_had_is_a_fault_and_not_ordered() -> None:
    found = listed(full(main_size_1="us25"), jobs=["mains"])
    line = next(line for line in found.lines if line.part == "D21")
    assert line.order is None
    (fault,) = found.faults
    assert (fault.code, fault.at) == ("part_not_sold", "main_shell[1]")
    assert fault.detail == "D21 (Main shell 0.25) is not sold: machined to order"
    assert fault.when is None


def test_a_part_that_may_be_needed_and_is_not_sold_says_when() -> None:
    found = listed(known(sump="rear"), positions=["main_shell[2]"])
    (fault,) = found.faults
    assert fault.when == "main_size = us25"


def test_an_open_line_is_ordered_for_by_itself_and_not_in_the_total() -> None:
    found = listed(known(main_size_1="std"), positions=["main_shell"])
    orders = {str(one.places[0]): one.order for one in found.lines if one.part == "D20"}
    assert orders == {
        "main_shell[1]": Order("D29", Decimal(1)),
        "main_shell[2]": Order("D29", Decimal(1)),
        "main_shell[3]": Order("D29", Decimal(1)),
    }
    assert found.orders == (OrderLine("D29", Decimal(1), ("D20",)),)
