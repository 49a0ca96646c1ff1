"""Commands of the office: serve, token, check."""

from __future__ import annotations

import click

from bomsvc.cli.opening import (
    FAULTS,
    acting,
    as_json,
    opened,
    settings,
    tells_errors,
    write_json,
)

THREADS = 8
CONNECTIONS = 1_000
IDLE_SECONDS = 30
ROOM_FOR_HEADERS = 64 * 1024


@click.command()
@click.option("--bind", metavar="ADDRESS:PORT", help="Instead of BOMSVC_BIND.")
@click.option(
    "--allow-remote", is_flag=True, help="Let other machines reach it (TLS before it)."
)
@click.option("--threads", type=click.IntRange(1, 64), default=THREADS)
@tells_errors
def serve(*, bind: str | None, allow_remote: bool, threads: int) -> None:
    """Serve the REST face and the pages until interrupted."""
    import os

    from waitress import serve as serve_forever  # type: ignore[import-untyped]

    from bomsvc.api.envelope import log_to_stderr
    from bomsvc.app import create_app
    from bomsvc.config import settings_from

    environment = dict(os.environ)
    if bind:
        environment["BOMSVC_BIND"] = bind
    if allow_remote:
        environment["BOMSVC_ALLOW_REMOTE"] = "yes"
    chosen = settings_from(environment)
    app = create_app(chosen)
    log_to_stderr()
    click.echo(f"Serving on http://{chosen.bind_host}:{chosen.bind_port}/", err=True)
    serve_forever(
        app,
        host=chosen.bind_host,
        port=chosen.bind_port,
        threads=threads,
        connection_limit=CONNECTIONS,
        channel_timeout=IDLE_SECONDS,
        max_request_body_size=chosen.max_document_bytes + ROOM_FOR_HEADERS,
        clear_untrusted_proxy_headers=True,
        ident=None,
    )


@click.group()
def token() -> None:
    """Make, list and revoke access tokens."""


@token.command()
@click.option(
    "--role", "roles", multiple=True, required=True, help="May be given several times."
)
@click.option("--branch", help="Code of the branch acted for; without it: all.")
@click.option("--name", help="What the log calls it.")
@click.option("--scope", multiple=True, help="Only these rights of the roles.")
@click.option("--expires", metavar="TIME", help="RFC 3339; without it: in a year.")
@as_json
@tells_errors
def create(
    roles: tuple[str, ...],
    *,
    branch: str | None,
    name: str | None,
    scope: tuple[str, ...],
    expires: str | None,
    as_json: bool,
) -> None:
    """Make a token and print it; it is never shown again."""
    from bomsvc.service.shapes import token_shape
    from bomsvc.service.tokens import TokenWish, create_token

    wish = TokenWish(
        name=name or " ".join((*roles, branch or "")).strip(),
        roles=roles,
        branch=branch,
        scope=scope or None,
        expires_at=expires,
    )
    with opened() as desk, desk.store.write() as uow:
        made, secret = create_token(desk, uow, acting(), wish)
        uow.commit()
    if as_json:
        write_json(token_shape(made, token=secret))
    else:
        click.echo(secret)
        click.echo(f"Token {made.id}, good until {made.expires_at}.", err=True)


@token.command("list")
@as_json
@tells_errors
def list_all(*, as_json: bool) -> None:
    """List tokens, without their secrets."""
    from bomsvc.service.shapes import token_shape
    from bomsvc.service.tokens import list_tokens

    with opened() as desk, desk.store.read() as uow:
        found = list_tokens(uow, after=0, limit=1_000)
    if as_json:
        write_json({"items": [token_shape(one) for one in found], "next": None})
        return
    for one in found:
        until = f"revoked {one.revoked_at}" if one.revoked_at else one.expires_at
        click.echo(f"{one.id:>5}  {one.name}  {','.join(one.roles)}  {until}")


@token.command()
@click.argument("token_id", type=int)
@as_json
@tells_errors
def revoke(token_id: int, *, as_json: bool) -> None:
    """Revoke a token; a running server forgets it within two seconds."""
    from bomsvc.service.shapes import token_shape
    from bomsvc.service.tokens import revoke_token

    with opened() as desk, desk.store.write() as uow:
        revoked = revoke_token(desk, uow, acting(), token_id)
        uow.commit()
    if as_json:
        write_json(token_shape(revoked))
    else:
        click.echo(f"Token {revoked.id} ({revoked.name}) is revoked.")


@click.command()
@as_json
@tells_errors
def check(*, as_json: bool) -> None:
    """Check the database against its promises; exit code 1 where one is broken."""
    import sys

    from bomsvc.db.check import check_database

    found = check_database(settings().database_url)
    if as_json:
        write_json(found.as_dict())
    else:
        for line in found.lines():
            click.echo(line)
    if found.broken:
        sys.exit(FAULTS)
