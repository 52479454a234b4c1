"""Dates as breeders write them: year-month-day, or a month or a year alone; the ambiguous is refused."""

from __future__ import annotations

import datetime
import re

from pinfeather import _checks

_REDUCED_DATE = re.compile(r"\d{4}(-(0[1-9]|1[0-2]))?")
_FULL_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
_SLASHED_DATE = re.compile(r"\s*(\d{1,4})[/.\-\s](\d{1,2})[/.\-\s](\d{1,4})\s*")


def iso_date(value: object, argument: str = "hatched") -> datetime.date | str | None:
    """Read a date: a ``datetime.date``, a full ISO 8601 date, or a year or month alone, which stays text."""
    if value is None:
        return None
    if isinstance(value, datetime.datetime):
        return value.date()
    if isinstance(value, datetime.date):
        return value
    if not isinstance(value, str):
        _checks.refuse(argument, value, 'must be a date such as "2026-04-12"')
    if _REDUCED_DATE.fullmatch(value) and value[:4] != "0000":
        return value
    if _FULL_DATE.fullmatch(value):
        try:
            return datetime.date.fromisoformat(value)
        except ValueError:
            _checks.refuse(argument, value, "there is no such day; write year-month-day, such as 2026-04-12")
    _checks.refuse(argument, value, _date_advice(value))


def _date_advice(written: str) -> str:
    found = _SLASHED_DATE.fullmatch(written)
    if found is None:
        return "must be year-month-day, such as 2026-04-12 (a month 2026-04 or a year 2026 alone will do)"
    first, middle, last = found.groups()
    year, others = (first, (middle, last)) if len(first) == 4 else (last, (middle, first))
    orders = [others, others[::-1]]
    readings = [
        f"{int(year):04d}-{int(month):02d}-{int(day):02d}"
        for month, day in orders
        if len(year) == 4 and 1 <= int(month) <= 12 and 1 <= int(day) <= 31
    ]
    if len(set(readings)) == 2:
        return f"may be {readings[0]} or {readings[1]}; write the one that is meant, year first"
    return f"write year-month-day: {readings[0]}" if readings else "must be year-month-day, such as 2026-04-12"


def date_range(value: datetime.date | str) -> tuple[datetime.date, datetime.date]:
    """The first and the last day that a date, a month or a year can mean."""
    if isinstance(value, datetime.date):
        return value, value
    year = int(value[:4])
    if len(value) == 4:
        return datetime.date(year, 1, 1), datetime.date(year, 12, 31)
    month = int(value[5:7])
    first = datetime.date(year, month, 1)
    after = datetime.date(year, 12, 31) if month == 12 else datetime.date(year, month + 1, 1) - datetime.timedelta(1)
    return first, after
