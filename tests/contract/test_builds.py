"""Identify, resolve and count, in the shapes that were promised."""

from __future__ import annotations

import io
import json

import openpyxl
import pytest

from tests.contract.faces import Face
from tests.contract.replies import CLASH, IDENTIFIED, RESOLVED, conforms
from tests.contract.sample import whimbrel

F = "/families/whimbrel"
JOB = {"jobs": ["reseal_sump"]}


def test_identify_answers_in_its_shape(ready: Face) -> None:
    body = {
        "revision": None,
        "answers": {
            "sump": "front",
            "extras": ["block"],
            "gears": {"not": ["quiet"]},
            "serial": 210440,
        },
        "sources": {"sump": "seen"},
        "waive": [],
        "explain": ["gears.wide"],
    }
    reply = ready.post(f"{F}/identify", body)
    assert reply.status_code == 200, reply.text
    conforms(reply.json, IDENTIFIED)
    gears = next(o for o in reply.json["options"] if o["code"] == "gears")
    assert [c["state"] for c in gears["choices"]] == ["follows", "excluded", "excluded"]
    wide = gears["choices"][2]
    assert {"rule": "r7", "because": "The wide gear train reaches into the front sump."}
    assert any(reason.get("rule") == "r7" for reason in wide["why"])
    assert reply.json["builds_left"] == "2"


def test_answers_that_clash_are_explained_by_identify(ready: Face) -> None:
    body = {"answers": {"sump": "front", "gears": "wide"}}
    reply = ready.post(f"{F}/identify", body)
    assert reply.status_code == 200
    conforms(reply.json, IDENTIFIED)
    assert reply.json["consistent"] is False
    states = {c["state"] for o in reply.json["options"] for c in o["choices"]}
    assert states == {None}
    assert reply.json["clash"]["waivers"] == [["r7"]]


def test_answers_that_clash_resolve_nothing(ready: Face) -> None:
    body = {"answers": {"sump": "front", "gears": "wide"}, "scope": JOB}
    reply = ready.post(f"{F}/resolve", body)
    assert reply.status_code == 409
    assert reply.mimetype == "application/problem+json"
    conforms(reply.json["clash"], CLASH)
    assert reply.json["clash"]["repairs"] == [{"drop": ["sump"]}, {"drop": ["gears"]}]
    waived = ready.post(f"{F}/resolve", {**body, "waive": ["r7"]})
    assert waived.status_code == 200
    assert waived.json["waived"] == ["r7"]


def test_a_physical_rule_cannot_be_waived(ready: Face) -> None:
    reply = ready.post(f"{F}/identify", {"waive": ["p1"]})
    assert reply.status_code == 400
    assert reply.json["errors"][0]["pointer"] == "/waive/0"


def test_resolve_answers_in_its_shape(ready: Face) -> None:
    reply = ready.post(f"{F}/resolve", {"answers": {"sump": "rear"}, "scope": JOB})
    assert reply.status_code == 200, reply.text
    conforms(reply.json, RESOLVED)
    assert reply.json["certain"] is True
    lines = {line["part"]: line for line in reply.json["lines"]}
    assert lines["W40.2001"]["qty"] == "1"
    assert lines["W90.1055"]["need"] == "check"
    assert lines["W90.1055"]["take"] == "0"
    assert lines["W90.1055"]["screw"]["margin_mm"] == {
        "short": 2.55,
        "over": 1.4,
        "shank": 12.25,
    }
    assert reply.json["work"]["minutes"] == [50, 50]


def test_an_open_list_asks_the_question_that_decides_it(ready: Face) -> None:
    scope = {"jobs": ["renew_pan"]}
    reply = ready.post(f"{F}/resolve", {"scope": scope})
    conforms(reply.json, RESOLVED)
    assert reply.json["certain"] is False
    assert [q["option"] for q in reply.json["questions"]] == ["sump"]
    (place,) = reply.json["open"]
    assert place["decided_by"] == ["sump"]
    assert [c["parts"][0]["part"] for c in place["candidates"]] == [
        "W40.1187",
        "W40.1190",
    ]


def test_the_same_request_has_the_same_bytes_on_both_databases(
    any_face: Face, request: pytest.FixtureRequest
) -> None:
    any_face.publish()
    body = {"answers": {"gears": {"not": ["quiet"]}}, "scope": {"whole": True}}
    first = any_face.post(f"{F}/resolve", body).data
    any_face.post(f"{F}/identify", {"answers": {"sump": "rear"}})
    assert any_face.post(f"{F}/resolve", body).data == first
    # Kept between the two runs of this test, one per kind of database.
    seen = request.config.stash.setdefault(SEEN, first)
    assert seen == first


SEEN = pytest.StashKey[bytes]()


def test_count_is_exact_and_a_decimal_string(ready: Face) -> None:
    reply = ready.post(f"{F}/count", {})
    # By hand: plant 2; serials below and from 200000. Rear: 2 intervals x 3 gears x
    # 4 extras = 24; front: from 200000 only, 2 gears, no heater, so 4. Twice 28.
    assert reply.json["builds_left"] == "56"
    assert reply.json["revision"]["number"] == 1


def test_the_list_comes_as_a_workbook_by_suffix_and_by_accept(ready: Face) -> None:
    body = {"answers": {"sump": "rear"}, "scope": JOB}
    by_suffix = ready.post(f"{F}/resolve.xlsx", body)
    assert by_suffix.status_code == 200
    book = openpyxl.load_workbook(io.BytesIO(by_suffix.data))
    assert "W40.2001" in [c.value for row in book.worksheets[0] for c in row]
    by_accept = ready.post(f"{F}/resolve", body, headers={"Accept": by_suffix.mimetype})
    assert by_accept.data == by_suffix.data
    assert "attachment" in by_suffix.headers["Content-Disposition"]


def test_every_wrong_word_is_told_at_once_with_the_nearest(ready: Face) -> None:
    body = {
        "answers": {"smup": "rear", "gears": "plane"},
        "sources": {"gears": "sean"},
        "waive": ["r8"],
        "scope": {"jobs": ["reseal_smp"]},
        "by_way_of": ["pan_of"],
    }
    reply = ready.post(f"{F}/resolve", body)
    assert reply.status_code == 400
    remedies = {e["pointer"]: e.get("remedy") for e in reply.json["errors"]}
    assert remedies == {
        "/answers/smup": "sump",
        "/answers/gears": "plain",
        "/sources/gears": "seen",
        "/waive/0": "r7",
        "/scope/jobs/0": "reseal_sump",
        "/by_way_of/0": "pan_off",
    }
    wrong = ready.post(f"{F}/identify", {"explain": ["gears.wid"]})
    assert wrong.json["errors"][0]["remedy"] == "gears.wide"


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"scope": JOB, "anwsers": {}}, "/anwsers"),
        ({}, "/scope"),
        ({"scope": []}, "/scope"),
        ({"scope": JOB, "revision": True}, "/revision"),
        ({"scope": JOB, "revision": "1"}, "/revision"),
        ({"scope": JOB, "revision": 1.5}, "/revision"),
        ({"scope": JOB, "answers": ["sump"]}, "/answers"),
        ({"scope": JOB, "sources": {"sump": 1}}, "/sources/sump"),
        ({"scope": JOB, "waive": [1]}, "/waive/0"),
        ({"scope": {"job": ["x"]}}, "/scope/job"),
        ({"scope": JOB, "by_way_of": "pan_off"}, "/by_way_of"),
    ],
)
def test_a_field_that_is_wrong_is_pointed_at(
    ready: Face, body: object, pointer: str
) -> None:
    reply = ready.post(f"{F}/resolve", body)
    assert reply.status_code == 400
    assert pointer in [error["pointer"] for error in reply.json["errors"]]


def test_nothing_is_resolved_where_nothing_is_published(face: Face) -> None:
    face.post(f"{F}/revisions", whimbrel())
    reply = face.post(f"{F}/resolve", {"scope": JOB})
    assert reply.status_code == 409
    assert "published" in reply.json["detail"]
    draft = face.post(f"{F}/resolve", {"revision": 1, "scope": JOB})
    assert draft.status_code == 200


def test_an_engine_on_file_is_resolved_with_what_is_typed_above_it(
    ready: Face,
) -> None:
    ready.post(
        "/engines",
        {
            "family": "whimbrel",
            "serial": "N210440",
            "answers": {"sump": "rear", "extras": ["heater"]},
            "sources": {"sump": "records", "extras.heater": "seen"},
        },
    )
    scope = {"jobs": ["renew_pan"]}
    filed = ready.post(f"{F}/resolve", {"engine": "N210440", "scope": scope})
    assert filed.json["certain"] is True
    assert "W40.1187" in [line["part"] for line in filed.json["lines"]]
    typed = ready.post(
        f"{F}/resolve",
        {
            "engine": "210440",
            "answers": {"sump": "front", "extras": []},
            "scope": scope,
        },
    )
    assert "W40.1190" in [line["part"] for line in typed.json["lines"]]
    unknown = ready.post(f"{F}/resolve", {"engine": "N1", "scope": scope})
    assert unknown.status_code == 404


def test_a_list_answered_before_follows_what_is_published_next(ready: Face) -> None:
    body = {"answers": {"sump": "rear"}, "scope": JOB}
    first = ready.post(f"{F}/resolve", body)
    assert ready.post(f"{F}/resolve", body).data == first.data
    changed = whimbrel()
    changed["parts"][3]["name"] = "Oil pan gasket, coated"
    ready.publish(changed)
    second = ready.post(f"{F}/resolve", body)
    assert second.json["revision"]["number"] == 2
    assert "coated" in second.text
    old = ready.post(f"{F}/resolve", {**body, "revision": 1})
    assert old.json == first.json


def test_one_choice_said_now_takes_nothing_back_of_the_others_on_file(
    ready: Face,
) -> None:
    filed = {"answers": {"extras": ["heater"]}, "sources": {"extras": "records"}}
    engine = {"family": "whimbrel", "serial": "N210440", **filed}
    assert ready.post("/engines", engine).status_code == 201

    def states(answers: dict[str, object]) -> dict[str, str]:
        body = {"engine": "N210440", "answers": answers}
        options = ready.post(f"{F}/identify", body).json["options"]
        extras = next(option for option in options if option["code"] == "extras")
        return {one["code"]: one["state"] for one in extras["choices"]}

    before = states({})
    assert before["heater"] == "chosen"
    other = next(code for code in before if code != "heater")
    after = states({"extras": {other: True}})
    assert after == {**before, other: "chosen"}
    assert states({"extras": {"heater": False}})["heater"] == "excluded"
    wrong = {"engine": "N210440", "answers": {"extras": {"heeter": True}}}
    refused = ready.post(f"{F}/identify", wrong)
    assert refused.json["errors"][0]["pointer"] == "/answers/extras/heeter"


def test_what_is_on_file_and_no_longer_fits_points_at_the_engine(ready: Face) -> None:
    filed = {"answers": {"sump": "rear"}, "sources": {"sump": "seen"}, "waive": ["r7"]}
    engine = {"family": "whimbrel", "serial": "N210440", **filed}
    assert ready.post("/engines", engine).status_code == 201
    renamed = json.dumps(whimbrel()).replace("sump", "trough").replace("r7", "r77")
    ready.publish(json.loads(renamed))
    body = {"engine": "N210440", "answers": {"gears": "wyde"}, "waive": ["r8", "r77"]}
    reply = ready.post(f"{F}/identify", body)
    assert reply.status_code == 400
    told = [(error["pointer"], error["code"]) for error in reply.json["errors"]]
    assert sorted(told) == [
        ("/answers/gears", "choice_unknown"),
        ("/engine", "option_unknown"),
        ("/engine", "rule_unknown"),
        ("/waive/0", "rule_unknown"),
    ]
    old = next(e for e in reply.json["errors"] if e["code"] == "option_unknown")
    assert old["detail"] == (
        "This comes from what is on file of N210440: No option 'sump' in this family."
        " Put it right with PUT /engines/N210440, or leave the engine out and send its"
        " answers."
    )
    changes = {"engine": "N210440", "changes": {"trough": "front"}}
    converted = ready.post(f"{F}/convert", changes)
    assert {error["pointer"] for error in converted.json["errors"]} == {"/engine"}
    # Whoever puts an engine on file is told of the place in what they sent.
    again = ready.post("/engines", {**engine, "serial": "N210441"})
    assert "/answers/sump" in {error["pointer"] for error in again.json["errors"]}


def test_an_engine_on_file_is_looked_up_every_time(ready: Face) -> None:
    made = ready.post(
        "/engines",
        {"family": "whimbrel", "serial": "N210440", "answers": {"sump": "rear"}},
    )
    body = {"engine": "N210440", "scope": {"jobs": ["renew_pan"]}}
    assert "W40.1187" in ready.post(f"{F}/resolve", body).text
    ready.ask(
        "PUT",
        "/engines/N210440",
        json={"answers": {"sump": "front"}},
        headers={"If-Match": made.headers["ETag"]},
    )
    assert "W40.1187" not in ready.post(f"{F}/resolve", body).text
