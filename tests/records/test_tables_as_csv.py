import csv
import io
import json
from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from webapp.records.tables_as_csv import as_csv


def read_back(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


FORMULA = ("=", "+", "-", "@", "\t", "\r")


@given(st.lists(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00")), max_size=6))
def test_every_text_comes_back_with_no_more_than_an_apostrophe(texts: list[str]) -> None:
    told = read_back(as_csv(["number", "note"], [{"number": i, "note": t} for i, t in enumerate(texts)]))
    assert [r["note"] for r in told] == [f"'{t}" if t.startswith(FORMULA) else t for t in texts]


def test_lists_days_and_nothing_are_written_so_that_they_can_be_read() -> None:
    row = {"lab": [52.5, 12.0, -3.25], "on": date(2026, 3, 14), "none": None, "yes": True, "number": -1.5}
    (told,) = read_back(as_csv(list(row), [row]))
    assert json.loads(told["lab"]) == row["lab"]
    assert [told[k] for k in ("on", "none", "yes", "number")] == ["2026-03-14", "", "1", "-1.5"]


def test_a_spreadsheet_is_given_no_formula() -> None:
    for text in ("=1+1", "+49 170", "-x", "@cell", "\tx"):
        assert read_back(as_csv(["note"], [{"note": text}]))[0]["note"] == f"'{text}"
