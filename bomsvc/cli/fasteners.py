"""Commands on screws by hand: size, torque. They need no database."""

from __future__ import annotations

import click

from bomsvc.cli.opening import as_json, tells_errors, write_json


@click.command()
@click.option("--standard", required=True, help="Such as 'ISO 4762'.")
@click.option("--thread", required=True, help="Such as M10, M10x1.25, '3/8-16 UNC'.")
@click.option("--class", "property_class", required=True, help="Such as 10.9.")
@click.option(
    "--layer",
    "layers",
    multiple=True,
    required=True,
    help="Thickness with tolerance, from the head: 34+-0.2, 0.8+-0.1,soft.",
)
@click.option(
    "--into",
    required=True,
    help="blind,threaded=24,drilled=31.3,material=grey_iron;"
    " through,thickness=...; nut,height=...",
)
@click.option("--inch", is_flag=True, help="Lengths are in inches.")
@click.option("--engagement", help="Instead of the computed need.")
@click.option("--length", "lengths", multiple=True, help="Only these lengths.")
@as_json
@tells_errors
def size(
    standard: str,
    thread: str,
    property_class: str,
    *,
    layers: tuple[str, ...],
    into: str,
    inch: bool,
    engagement: str | None,
    lengths: tuple[str, ...],
    as_json: bool,
) -> None:
    """Size a screw for a clamped stack and a hole or nut.

    The engine maker's current manual prevails over every length shown.
    """
    from bomsvc.service import sizing
    from bomsvc.service.replies.size import size_reply
    from bomsvc.service.sizing_text import request_from_text

    request = request_from_text(
        standard=standard,
        thread=thread,
        property_class=property_class,
        layers=layers,
        into=into,
        inch=inch,
        engagement=engagement,
        lengths=lengths,
    )
    reply = size_reply(sizing.size(request))
    if as_json:
        write_json(reply)
        return
    from bomsvc.cli.sized import size_lines

    for line in size_lines(reply):
        click.echo(line)


@click.command()
@click.option("--standard", required=True, help="Such as 'ISO 4762'.")
@click.option("--thread", required=True, help="Such as M10, M10x1.25, '3/8-16 UNC'.")
@click.option("--class", "property_class", required=True, help="Such as 10.9.")
@click.option("--friction", help="Stated friction; without it: 0.12.")
@click.option("--utilisation", help="Share of the proof load; without it: 0.9.")
@click.option("--engagement", help="Full thread engaged, mm.")
@click.option("--material", help="Of the hole, such as grey_iron.")
@as_json
@tells_errors
def torque(
    standard: str,
    thread: str,
    property_class: str,
    *,
    friction: str | None,
    utilisation: str | None,
    engagement: str | None,
    material: str | None,
    as_json: bool,
) -> None:
    """Estimate the torque of a screw, or say why no estimate is given.

    An estimate is of the screw's limit at the stated friction, not the maker's.
    """
    from bomsvc.core.terms.numbers import Number
    from bomsvc.service import sizing
    from bomsvc.service.replies.size import torque_reply

    request: dict[str, object] = {
        "standard": standard,
        "thread": thread,
        "property_class": property_class,
    }
    figures = {
        "friction": friction,
        "utilisation": utilisation,
        "engagement_mm": engagement,
    }
    # Text that is no number is refused by the field's own reader.
    request |= {k: Number(v) for k, v in figures.items() if v is not None}
    if material is not None:
        request["hole"] = {"material": material}
    reply = torque_reply(sizing.torque(request))
    if as_json:
        write_json(reply)
        return
    from bomsvc.cli.sized import torque_lines

    for line in torque_lines(reply):
        click.echo(line)
