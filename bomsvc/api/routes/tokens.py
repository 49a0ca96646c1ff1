"""Access tokens."""

from __future__ import annotations

from bomsvc.api.fields import Body, Listing, Text
from bomsvc.api.operation import Call, Operation, Reply
from bomsvc.api.paging import Page, number_cursor, page_of
from bomsvc.service.permissions import Permission
from bomsvc.service.records import TokenRecord
from bomsvc.service.shapes import token_shape
from bomsvc.service.tokens import TokenWish, create_token, list_tokens, revoke_token


class TokenBody(Body):
    """A new token."""

    name = Text(longest=80, required=True)
    roles = Listing(required=True)
    branch = Text(longest=40, allow_none=True, load_default=None)
    scope = Listing(allow_none=True, load_default=None)
    expires_at = Text(longest=40, allow_none=True, load_default=None)


def list_all(call: Call) -> Reply:
    """List tokens, never their secrets."""
    limit = call.query["limit"]
    start = number_cursor(call, start=0)
    with call.desk.store.read() as uow:
        found = list_tokens(uow, after=start, limit=limit + 1)

    def key(token: TokenRecord) -> int:
        return token.id

    more = len(found) > limit
    return page_of(call, found[:limit], key=key, shape=token_shape, more=more)


def create(call: Call) -> Reply:
    """Make a token; its secret is in this answer and nowhere else, ever.

    A repeated request with the same key is answered without the secret.
    """
    wish = TokenWish(
        name=call.body["name"],
        roles=call.body["roles"],
        branch=call.body["branch"],
        scope=call.body["scope"],
        expires_at=call.body["expires_at"],
    )
    token, secret = create_token(call.desk, call.unit, call.acting, wish)
    headers = (("Location", f"/api/v1/tokens/{token.id}"),)
    return Reply(
        201,
        token_shape(token, token=secret),
        headers=headers,
        kept_body=token_shape(token, token=None),
    )


def revoke(call: Call) -> Reply:
    """Revoke a token."""
    token = revoke_token(call.desk, call.unit, call.acting, call.path["token_id"])
    return Reply(body=token_shape(token), forget_tokens=True)


OPERATIONS = (
    Operation(
        "listTokens",
        "GET",
        "/tokens",
        Permission.TOKEN_READ,
        "List access tokens, without their secrets.",
        list_all,
        query=Page,
    ),
    Operation(
        "createToken",
        "POST",
        "/tokens",
        Permission.TOKEN_WRITE,
        "Make an access token; its secret is shown this once.",
        create,
        replies=(201,),
        body="json",
        schema=TokenBody,
        writes=True,
        example={"name": "Harbour Road counter", "roles": ["counter"]},
    ),
    Operation(
        "revokeToken",
        "DELETE",
        "/tokens/<int:token_id>",
        Permission.TOKEN_WRITE,
        "Revoke an access token.",
        revoke,
        replies=(200, 404),
        writes=True,
    ),
)
