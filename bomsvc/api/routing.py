"""How addresses are read where the web framework's own way does not serve."""

from __future__ import annotations

from urllib.parse import unquote

from flask import Flask, request
from werkzeug.routing import BaseConverter

MOST_DIGITS = 18
"""As many as every database counts to; a longer number leads nowhere (404)."""
PART, PART_FITS = "api.getPart", "api.getPartFits"
FITS = "fits"


class ShortNumber(BaseConverter):
    """A whole number in plain digits."""

    regex = f"[0-9]{{1,{MOST_DIGITS}}}"

    def to_python(self, value: str) -> int:
        """Return the number."""
        return int(value)


def read_addresses(app: Flask) -> None:
    """Let `app` read addresses so; before its routes are added."""
    app.url_map.converters["int"] = ShortNumber

    def keep_part_number() -> None:
        # A server hands on the path decoded, where "A%2Ffits" looks like "A" and
        # its fits; only a slash that was sent as one parts the two.
        rule = request.url_rule
        if rule is None or rule.endpoint != PART_FITS or _last_segment() == FITS:
            return
        request.url_rule = next(app.url_map.iter_rules(PART))
        number = (request.view_args or {})["key"]
        request.view_args = {"key": f"{number}/{FITS}"}

    app.before_request(keep_part_number)


def _last_segment() -> str:
    """Return what stands after the last slash that was sent as one, decoded."""
    environ = request.environ
    sent = environ.get("REQUEST_URI") or environ.get("RAW_URI") or request.path
    return unquote(str(sent).partition("?")[0].rpartition("/")[2])
