from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlmodel import Session as DatabaseSession
from sqlmodel import delete

from tests.properties import steady
from webapp.records.client_search import find_clients, others_alike
from webapp.records.database import open_database
from webapp.records.folding import folded
from webapp.records.queries import client_called
from webapp.records.tables import Client, Session, Work


@pytest.fixture(scope="module")
def engine(tmp_path_factory):
    engine = open_database(tmp_path_factory.mktemp("search") / "a.sqlite3", "own")
    yield engine
    engine.dispose()


@pytest.fixture
def rows(engine):
    with DatabaseSession(engine) as rows:
        yield rows
        rows.rollback()


def add(rows, *aliases):
    clients = [Client(alias=alias, created_at=datetime.now(UTC)) for alias in aliases]
    rows.add_all(clients)
    rows.flush()
    return clients


def found(rows, words, limit=50, offset=0):
    clients, total = find_clients(rows, words, limit, offset)
    return [c.alias for c in clients], total


@pytest.mark.parametrize("words", ["änne", "ANNE", "anne", "Änn", "nn", "  änne  "])
def test_capitals_and_accents_make_no_difference(rows, words):
    add(rows, "Änne", "Wren")
    assert found(rows, words) == (["Änne"], 1)


def test_what_begins_with_the_words_stands_first(rows):
    add(rows, "Old Robin", "Robin", "robinia", "Wren")
    assert found(rows, "robin") == (["Robin", "robinia", "Old Robin"], 3)


def test_every_word_must_be_there_in_any_order(rows):
    add(rows, "Robin blue", "Blue Wren", "Robin")
    assert found(rows, "blue robin") == (["Robin blue"], 1)


@pytest.mark.parametrize("words", ["%", "_", "'", '"', "\\", "; DROP TABLE client"])
def test_signs_mean_themselves(rows, words):
    add(rows, "Robin", "50% off_'\"\\")
    assert "Robin" not in found(rows, words)[0]


def test_it_comes_a_page_at_a_time_and_says_how_many_there_are(rows):
    add(rows, *(f"C{i:03}" for i in range(120)))
    pages = [found(rows, "c", 50, offset) for offset in (0, 50, 100)]
    assert [total for _, total in pages] == [120] * 3
    assert [name for names, _ in pages for name in names] == [f"C{i:03}" for i in range(120)]


def test_sites_and_the_latest_day_tell_clients_apart(rows):
    robin, _ = add(rows, "Robin", "Wren")
    works = [Work(client_id=robin.id, site=s, created_at=datetime.now(UTC)) for s in ("left brow", "right brow")]
    rows.add_all(works)
    rows.flush()
    for day in (date(2024, 3, 1), date(2025, 2, 1)):
        rows.add(Session(work_id=works[0].id, kind="touch-up", on_date=day, technique="other"))
    rows.flush()
    rows.add(Session(work_id=works[1].id, kind="earlier work", on_date=date(2025, 6, 1), technique="other"))
    rows.flush()
    (first, second), _ = find_clients(rows, "", 10)
    assert (first.sites, first.latest) == (("left brow", "right brow"), date(2025, 2, 1))
    assert (second.sites, second.latest) == ((), None)


def test_one_whose_alias_holds_the_other_may_be_the_same_person(rows):
    robin, *_ = add(rows, "Robin", "ROBIN B.", "Ro", "Wren")
    assert [c.alias for c in others_alike(rows, robin)] == ["Ro", "ROBIN B."]


@steady
@given(aliases=st.lists(st.text(min_size=1, max_size=8), max_size=8, unique=True), words=st.text(max_size=4))
def test_it_finds_what_a_search_by_hand_finds(engine, aliases, words):
    by_hand = {a for a in aliases if all(word in folded(a) for word in folded(words).split())}
    with DatabaseSession(engine) as rows:
        rows.exec(delete(Client))
        add(rows, *(a.encode(errors="replace").decode() for a in aliases))
        names, total = found(rows, words)
        assert set(names) == {a.encode(errors="replace").decode() for a in by_hand}
        assert total == len(by_hand)
        for alias in aliases:
            assert client_called(rows, alias.encode(errors="replace").decode()) is not None
        rows.rollback()
