"""How addresses are read where the web framework's own way does not serve."""

from __future__ import annotations

from flask import Flask
from werkzeug.routing import BaseConverter

MOST_DIGITS = 18
"""As many as every database counts to; a longer number leads nowhere (404)."""


class ShortNumber(BaseConverter):
    """A whole number in plain digits."""

    regex = f"[0-9]{{1,{MOST_DIGITS}}}"

    def to_python(self, value: str) -> int:
        """Return the number."""
        return int(value)


def read_addresses(app: Flask) -> None:
    """Let `app` read addresses so; before its routes are added."""
    app.url_map.converters["int"] = ShortNumber
