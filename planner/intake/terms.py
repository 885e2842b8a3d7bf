"""Terms of each piece of equipment: here or offered, from when, until when."""

import math
from datetime import datetime

from planner.catalogue import default
from planner.intake import moments, values
from planner.intake.reading import number, skip
from planner.intake.table import Row
from planner.intake.words import key
from planner.scenario import Availability, Status

_HERE = "here|yes|have|ours|in hand|on site|on hand|available|ok|working|have it|in use"
_OFFERED = (
    "can borrow|borrow|offered|offer|loan|lend|can lend|could borrow|maybe|promised|"
    "possible|on loan|if asked|ask"
)
_OUT = "out of order|broken|dead|not working|no|out|faulty|gone|unsafe|do not use|n"
_STATUS = {
    word: status
    for status, words in (
        (Status.HERE, _HERE),
        (Status.OFFERED, _OFFERED),
        (Status.OUT, _OUT),
    )
    for word in words.split("|")
}


def read_terms(row: Row, start: datetime) -> Availability:
    """Status, lender, ready and back hours, effort.

    Unclear cells are read so that the plan counts on less: an unknown
    status is an offer, an unknown return time leaves the thing out.
    """
    status = _status(row)
    offered = status is Status.OFFERED
    ready_default = default("loan.ready_h").value if offered else 0.0
    ready = number(row, "ready_h", f"{default('loan.ready_h').value:g} h is assumed")
    if (
        ready is None
        and row.text("ready_h")
        and not values.is_blank(row.cell("ready_h"))
    ):
        ready = default("loan.ready_h").value
    effort = number(row, "effort", f"{default('loan.effort').value:g} is assumed")
    ready_h = math.ceil(ready_default if ready is None else ready)
    back_h, usable = _back_h(row, start)
    if usable and back_h is not None and back_h <= ready_h:
        row.say("back-before-ready", "back_by")
        usable = False
    if status is Status.OUT:
        row.say("unit-out-of-order", "status")
    return Availability(
        status=status if usable else Status.OUT,
        lender=row.text("lender"),
        ready_h=ready_h,
        effort=int(effort or (default("loan.effort").value if offered else 1)),
        back_h=back_h,
    )


def _status(row: Row) -> Status:
    text = key(row.text("status"))
    if text in _STATUS:
        return _STATUS[text]
    if text and not values.is_blank(row.cell("status")):
        row.say("status-unknown", "status")
        return Status.OFFERED
    if row.text("lender"):
        row.say("status-assumed", "status")
        return Status.OFFERED
    return Status.HERE


def _back_h(row: Row, start: datetime) -> tuple[int | None, bool]:
    """Hours until it goes back, and whether that can be counted on."""
    cell = row.cell("back_by")
    if skip(row, "back_by") or values.is_blank(cell):
        return None, not cell.lost_formula
    hours = values.number(cell, row.table.spec.field("ready_h"), "")
    if (
        isinstance(cell.value, str)
        and hours.value is not None
        and key(cell.text)[-1:] in "hsr"
    ):
        return math.floor(hours.value), True
    got = moments.moment(cell, start, latest=False)
    if got.value is None:
        row.say(got.wrong, "back_by", used="it is left out of the plan")
        return None, False
    moment = got.value
    return math.floor((moment - start).total_seconds() / 3600), True
