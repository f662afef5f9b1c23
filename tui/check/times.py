"""Times in words, in the time zone of this computer: when something was, and how long until it may be read."""

from __future__ import annotations

from datetime import datetime, timedelta

from tui import wording_card as wording

#: Months by number, so that no system's language decides.
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

#: Below this the seconds are shown as well.
SECONDS_BELOW = timedelta(hours=1)


def now() -> datetime:
    """This moment, with its offset from UTC."""
    return datetime.now().astimezone()


def when(moment: datetime) -> str:
    """A moment to the minute: "25 Nov 2026, 10:31"."""
    try:
        local = moment.astimezone()
    except (OverflowError, ValueError, OSError):  # a date at the end of all dates, in somebody's file
        return moment.isoformat()
    return f"{local.day} {MONTHS[local.month - 1]} {local.year}, {local:%H:%M}"


def shortly(moment: datetime, at: datetime) -> str:
    """A moment as it is said at another: without the year where that is the same."""
    text = when(moment)
    year = f" {at.astimezone().year},"
    return text.replace(year, ",", 1)


def how_long(span: timedelta) -> str:
    """A span: "12:04 min", "3 h 20 min", "9 days"."""
    seconds = max(int(span.total_seconds()), 0)
    if seconds < SECONDS_BELOW.total_seconds():
        return f"{seconds // 60}:{seconds % 60:02d} min"
    hours, minutes = divmod(seconds // 60, 60)
    if hours < 72:
        return f"{hours} h {minutes:02d} min" if minutes else f"{hours} h"
    return f"{hours // 24} days"


def left(until: datetime, moment: datetime) -> str:
    """How long it is until then: "in 12:04 min", or "now"."""
    span = until - moment
    return wording.LEFT.format(time=how_long(span)) if span > timedelta() else wording.LEFT_NONE
