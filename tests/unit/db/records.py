"""Records to fill databases with."""

from __future__ import annotations

from dataclasses import replace

from bomsvc.service.records import (
    EngineOnFile,
    PublishedPart,
    RevisionHead,
    StoredReply,
    TokenRecord,
)

AT = "2026-03-02T08:15:00.000000Z"
LATER = "2026-03-03T08:15:00.000000Z"
WHO = "local:editor"
DOCUMENT = (
    '{"family":{"code":"whimbrel","name":"Whimbrel"},"parts":['
    '{"name":"Oil pan, rear sump","number":"w40.1187","mass_kg":7.25},'
    '{"kind":"screw","name":"Screw","number":"W 11\u20130045"}]}'
).encode()


def revision(
    number: int = 1, state: str = "draft", *, family: str = "whimbrel"
) -> RevisionHead:
    made = RevisionHead(
        family=family,
        number=number,
        state="draft",
        digest=f"{number:064x}",
        name=family.title(),
        maker="Tarrow Engine Works",
        note=None,
        version=1,
        created_at=AT,
        created_by=WHO,
        changed_at=AT,
        changed_by=WHO,
    )
    if state == "draft":
        return made
    return replace(
        made,
        state="published",
        version=2,
        published_at=AT,
        published_by=WHO,
        accepted_warnings="thin margins agreed",
    )


def engine(serial: str = "N210440", **known: object) -> EngineOnFile:
    return EngineOnFile(
        family="whimbrel",
        serial=serial,
        serial_number=int(serial.lstrip("NS")),
        answers={"sump": "rear", "extras": ["heater"], "gears": {"not": ["quiet"]}},
        sources={"sump": "seen"},
        waived=("r7",),
        deviations=({"joint": "pan_rail", "hole": 3, "insert": "M10"},),
        plate_text="TEW № 210440\nSUMP R",
        created_at=AT,
        created_by=WHO,
        changed_at=AT,
        changed_by=WHO,
        **known,  # type: ignore[arg-type]
    )


def token(**known: object) -> TokenRecord:
    fields: dict[str, object] = {
        "id": 0,
        "name": "Harbour Road counter",
        "roles": ("counter", "workshop"),
        "scope": None,
        "branch": "harbour_road",
        "created_at": AT,
        "created_by": WHO,
        "expires_at": LATER,
        **known,
    }
    return TokenRecord(**fields)  # type: ignore[arg-type]


def part(number: str = "W40.1187", family: str = "whimbrel") -> PublishedPart:
    return PublishedPart(
        family=family,
        identity=number.upper(),
        search_key=number.upper().replace(".", "").replace("%", "%"),
        number=number,
        name="Oil pan, rear sump",
        name_key="oil pan, rear sump",
        kind="component",
        data='{"number":"W40.1187","mass_kg":7.25}',
    )


REPLY = StoredReply(201, (("Content-Type", "application/json"),), b'{"id":1}')
