"""The tables as CSV files, for a spreadsheet or another program."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator, Mapping
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, select

from webapp.records.studio_file import kept_tables

_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def tables_as_csv(connection: Connection) -> Iterator[tuple[str, str]]:
    """Give the file name and the text of every table that makes up a studio."""
    for table in kept_tables():
        rows = connection.execute(select(table).order_by(*table.primary_key.columns)).mappings()
        yield f"{table.name}.csv", as_csv([c.name for c in table.columns], rows)


def as_csv(columns: list[str], rows: Any) -> str:
    """Give rows, mappings from column to value, as the text of a CSV file. Source: RFC 4180."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(columns)
    for row in rows:
        writer.writerow(_cells(columns, row))
    return text.getvalue()


def _cells(columns: list[str], row: Mapping[str, Any]) -> list[object]:
    return [_cell(row[name]) for name in columns]


def _cell(value: object) -> object:
    if value is None:
        return ""
    if isinstance(value, bool):
        return int(value)
    if isinstance(value, date | datetime):
        return value.isoformat()
    if isinstance(value, list | dict):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, str) and value.startswith(_FORMULA):
        return f"'{value}"  # a spreadsheet would run it
    return value
