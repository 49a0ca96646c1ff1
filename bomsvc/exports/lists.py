"""Files a list can be had as: one line per format.

A format's module is imported when it is first asked for, so that commands and
requests that print nothing load no spreadsheet writer.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from bomsvc.exports.formats import XLSX, Format

if TYPE_CHECKING:
    from bomsvc.service.builds import Listed


def picklist_workbook(listed: Listed) -> bytes:
    """Return the list as a pick list workbook; the same list, the same bytes."""
    from bomsvc.exports.picklist import render_picklist
    from bomsvc.exports.picklist.heading import Heading
    from bomsvc.service.spoken import known_sentences, scope_labels, waived_sentences
    from bomsvc.service.wording import Labels

    stand = listed.stand
    compiled = stand.reasoner.compiled
    labels = Labels(compiled)
    family = compiled.catalogue.family
    name = f"{family.maker} {family.name}" if family.maker else family.name
    heading = Heading(
        family=name,
        revision=stand.head.number,
        digest=stand.head.digest,
        serial=stand.serial,
        jobs=scope_labels(labels, listed.scope),
        known=known_sentences(labels, stand.known),
        waived=waived_sentences(compiled, stand.known),
    )
    return render_picklist(listed.resolved, labels, heading)


LIST_FORMATS = (Format(".xlsx", XLSX, picklist_workbook),)
