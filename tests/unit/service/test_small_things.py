"""Times, JSON bytes, rights, rate limits, conditions: small things others stand on."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bomsvc.api.conditions import none_match, read_if_match
from bomsvc.api.limits import Buckets
from bomsvc.api.metrics import Metrics
from bomsvc.core.terms.numbers import Number
from bomsvc.core.terms.problems import BadInput
from bomsvc.service.json_bytes import encode_json
from bomsvc.service.permissions import Permission, permissions_of
from bomsvc.service.times import moment_of, rfc3339

MOMENTS = st.datetimes(
    min_value=datetime(1970, 1, 2),  # noqa: DTZ001
    max_value=datetime(2200, 1, 1),  # noqa: DTZ001
    timezones=st.sampled_from([UTC, timezone(timedelta(hours=5, minutes=45))]),
)


@given(first=MOMENTS, second=MOMENTS)
def test_times_sort_as_their_text_and_come_back(
    first: datetime, second: datetime
) -> None:
    assert (rfc3339(first) < rfc3339(second)) == (first < second)
    assert len(rfc3339(first)) == 27
    assert moment_of(rfc3339(first)) == first


@pytest.mark.parametrize("text", ["2026-03-02", "2026-03-02T08:15:00", "now", ""])
def test_a_time_has_its_zone(text: str) -> None:
    with pytest.raises(BadInput, match="zone"):
        moment_of(text)


def test_numbers_are_written_with_their_own_digits() -> None:
    tree = {
        "decimal": Decimal("1E+3"),
        "small": Decimal("0.000001"),
        "written": Number("2.50"),
        "nested": [(Number("0.1"),)],
        "set": {"b", "a"},
    }
    assert encode_json(tree) == (
        b'{"decimal":1000,"small":0.000001,"written":2.50,"nested":[[0.1]],'
        b'"set":["a","b"]}'
    )


def test_what_has_no_json_form_is_a_bug() -> None:
    with pytest.raises(TypeError, match="object"):
        encode_json({"x": object()})


def test_roles_add_up_and_a_scope_only_takes_away() -> None:
    both = permissions_of(("editor", "publisher"))
    assert Permission.CATALOGUE_DRAFT in both
    assert Permission.CATALOGUE_PUBLISH in both
    assert permissions_of(("counter",), ["token.write"]) == frozenset()
    assert permissions_of(("unknown",)) == frozenset()


def test_a_bucket_refills_evenly_and_never_beyond_its_quota() -> None:
    now = [0.0]
    buckets = Buckets(60, lambda: now[0])
    assert all(buckets.take("a").passes for _ in range(60))
    refused = buckets.take("a")
    assert not refused.passes
    assert refused.wait_seconds == 1
    assert buckets.take("b").passes
    now[0] += 2.5
    assert [buckets.take("a").passes for _ in range(3)] == [True, True, False]
    now[0] += 10_000
    assert buckets.take("a").left == 59
    # A clock that goes back gives nothing away and takes nothing.
    now[0] -= 10_000
    assert buckets.take("a").left == 58


def test_buckets_of_callers_long_gone_are_forgotten(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("bomsvc.api.limits.MOST_CALLERS", 2)
    now = [0.0]
    buckets = Buckets(10, lambda: now[0])
    for caller in ("a", "b"):
        buckets.take(caller)
    now[0] += 61
    buckets.take("c")
    assert set(buckets._buckets) == {"c"}


def test_no_quota_is_no_limit_and_no_header() -> None:
    verdict = Buckets(0, lambda: 0.0).take("a")
    assert verdict.passes
    assert verdict.headers() == ()


def test_if_match_takes_strong_tags_of_any_format() -> None:
    expected = read_if_match('"a.json", W/"b" ,"c.yaml"')
    assert expected is not None
    assert [expected.admits(tag) for tag in ("a", "b", "c", "a.json")] == [
        True,
        False,
        True,
        False,
    ]
    assert read_if_match(None) is None
    everything = read_if_match(" * ")
    assert everything is not None
    assert everything.admits("anything")
    for bad in ("a", '"a', '"a" "b"', "''", ","):
        with pytest.raises(BadInput, match="If-Match"):
            read_if_match(bad)


def test_if_none_match_compares_weakly() -> None:
    assert none_match(None, "a")
    assert not none_match('W/"a"', "a")
    assert not none_match("*", "a")
    assert none_match('"b"', "a")


def test_figures_are_prometheus_text() -> None:
    metrics = Metrics()
    metrics.begin()
    metrics.end("resolveBuild", 200, 0.02)
    lines = metrics.text().splitlines()
    assert (
        'bomsvc_request_seconds_bucket{operation="resolveBuild",le="0.01"} 0' in lines
    )
    assert (
        'bomsvc_request_seconds_bucket{operation="resolveBuild",le="0.025"} 1' in lines
    )
    assert (
        'bomsvc_request_seconds_bucket{operation="resolveBuild",le="+Inf"} 1' in lines
    )
    assert "bomsvc_requests_in_flight 0" in lines
    assert metrics.text().endswith("\n")
