"""Parts, as published revisions know them."""

from __future__ import annotations

from bomsvc.api.fields import Text
from bomsvc.api.operation import Call, Operation, Reply
from bomsvc.api.paging import Page, page_of, pair_cursor
from bomsvc.service.parts import KnownPart, get_part, search_parts
from bomsvc.service.permissions import Permission
from bomsvc.service.shapes import part_data_shape, part_shape


class PartsQuery(Page):
    """What to look for."""

    q = Text(longest=200, load_default="")


def search(call: Call) -> Reply:
    """Find parts by number, spelt loosely, or by words of the name."""
    limit = call.query["limit"]
    start = pair_cursor(call)
    with call.desk.store.read() as uow:
        # One part may have an entry per family: read one more than fits to know
        # whether more follow, and give the last part whole.
        found = search_parts(uow, call.query["q"], after=start, limit=limit + 1)
    entries = sum(len(part.entries) for part in found)
    more = entries > limit
    shown = found[:-1] if more and len(found) > 1 else found

    def key(part: KnownPart) -> tuple[str, str]:
        return part.first.identity, part.families[-1]

    return page_of(call, shown, key=key, shape=part_shape, more=more)


def show(call: Call) -> Reply:
    """Show a part with its engineering data."""
    with call.desk.store.read() as uow:
        return Reply(body=part_data_shape(get_part(uow, call.path["key"])))


OPERATIONS = (
    Operation(
        "searchParts",
        "GET",
        "/parts",
        Permission.PART_READ,
        "Find parts by number or name in the published revisions.",
        search,
        query=PartsQuery,
    ),
    Operation(
        "getPart",
        "GET",
        "/parts/<path:key>",
        Permission.PART_READ,
        "Show a part; the key is its number, percent-encoded.",
        show,
        replies=(200, 404),
    ),
)
