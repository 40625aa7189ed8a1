"""Merging on random rows: everything is there afterwards, and nothing that was withdrawn is in force again."""

from __future__ import annotations

import random
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlmodel import Session as DatabaseSession
from sqlmodel import SQLModel, select

from tests.properties import steady
from webapp.records import tables as t
from webapp.records.database import open_database
from webapp.records.merged_consents import consents_after
from webapp.records.merging import MergeChoices, MergeRefused, _pointing_to, merge_clients, plan_merge
from webapp.records.words import CONSENT_SCOPES, EARLIER_WORK, PHOTO_STORAGE, SITES, SKIN_TYPES

START = date(2024, 1, 1)
DAYS = st.integers(0, 40).map(lambda d: START + timedelta(days=d))


@pytest.fixture(scope="module")
def engine(tmp_path_factory):
    engine = open_database(tmp_path_factory.mktemp("merge") / "a.sqlite3", "own")
    yield engine
    engine.dispose()


def fill(rows: DatabaseSession, dice: random.Random) -> list[t.Client]:
    """Three clients with random works, sessions, photos, follow-ups, measurements, questionings, consents."""
    card = t.Card(name="card", patches=[[50, 0, 0]])
    pigment = t.Pigment(name="Walnut", family="hybrid")
    rows.add_all([card, pigment])
    clients = [
        t.Client(
            alias=alias,
            skin_notes=dice.choice(["", f"notes of {alias}"]),
            skin_type=dice.choice(("", *SKIN_TYPES)),
            undertone=dice.choice(["", "cool", "warm"]),
            created_at=datetime(2024, 1, dice.randint(1, 28), tzinfo=UTC),
        )
        for alias in ("Robin", "robin b", "Wren")
    ]
    rows.add_all(clients)
    rows.flush()
    for client in clients:
        rows.add(t.Consent(client_id=client.id, scope=PHOTO_STORAGE, given_on=START))
        for _ in range(dice.randint(0, 3)):
            answers = {"pregnant": dice.choice(["yes", "no"])}
            rows.add(t.Questioning(client_id=client.id, asked_on=START, answers=answers, note=str(dice.random())))
        photos = [photo(client, dice) for _ in range(dice.randint(0, 3))]
        works = [work(client, dice) for _ in range(dice.randint(0, 4))]
        rows.add_all([*photos, *works])
        rows.flush()
        for each in works:
            add_history(rows, dice, each, photos, card, pigment)
    rows.flush()
    return clients


def photo(client: t.Client, dice: random.Random) -> t.PhotoFile:
    sha = f"{dice.getrandbits(256):064x}"
    return t.PhotoFile(client_id=client.id, sha256=sha, size=9, width=3, height=3, stored_at=datetime.now(UTC))


def work(client: t.Client, dice: random.Random) -> t.Work:
    aim = (
        {"aim_lab": [40.0, 8.0, dice.random()], "aim_from": "swatch", "aim_note": "aim"} if dice.random() < 0.4 else {}
    )
    note = f"work {dice.random()}"
    return t.Work(client_id=client.id, site=dice.choice(SITES[:3]), note=note, created_at=datetime.now(UTC), **aim)


def add_history(rows, dice, work, photos, card, pigment):
    for _ in range(dice.randint(0, 3)):
        kind = dice.choice(["first session", EARLIER_WORK])
        session = t.Session(work_id=work.id, kind=kind, on_date=START, technique="other", note=str(dice.random()))
        rows.add(session)
        rows.flush()
        if dice.random() < 0.7:
            rows.add(t.SessionPigment(session_id=session.id, pigment_id=pigment.id, parts=dice.random()))
    for each in photos:
        if dice.random() < 0.5:
            continue
        follow_up = t.FollowUp(
            work_id=work.id, photo_id=each.id, card_id=card.id, on_date=START, created_at=datetime.now(UTC)
        )
        rows.add(follow_up)
        rows.flush()
        if dice.random() < 0.7:
            eye = [[1.0, 0, 0], [0, 1, 0], [0, 0, 1]]
            rows.add(
                t.MeasurementRow(
                    follow_up_id=follow_up.id,
                    pigment_lab=[dice.random(), 0, 0],
                    pigment_spread=eye,
                    pigment_shared=eye,
                    pigment_pixels=9,
                    grade="good",
                    reasons=[],
                    patches=1,
                    residual=0,
                    method="test",
                    measured_at=datetime.now(UTC),
                )
            )


KEPT_TABLES = (t.Consent, t.Questioning, t.PhotoFile, t.Session, t.SessionPigment, t.FollowUp, t.MeasurementRow)


def snapshot(rows: DatabaseSession, drop: set[str]) -> dict[str, list[str]]:
    """Every row of the tables that must come through, but for the columns that may change."""
    return {
        table.__name__: sorted(str(sorted(r.model_dump(exclude=drop).items())) for r in rows.exec(select(table)))
        for table in KEPT_TABLES
    }


@steady
@given(seed=st.integers(0, 10**6), joining=st.booleans(), from_other=st.sets(st.sampled_from(["alias", "skin_type"])))
def test_everything_is_there_afterwards(engine, seed, joining, from_other):
    with DatabaseSession(engine) as rows:
        robin, robin_b, wren = fill(rows, random.Random(seed))
        before = snapshot(rows, {"client_id", "work_id"})
        works = {w.id: w.model_dump() for w in rows.exec(select(t.Work))}
        bystander = [w.id for w in rows.exec(select(t.Work).where(t.Work.client_id == wren.id))]
        names = {robin.alias, robin_b.alias}
        said = [v for c in (robin, robin_b) for v in (c.skin_notes, c.skin_type, c.undertone) if v]
        keep_id, gone_id, since = robin.id, robin_b.id, min(robin.created_at, robin_b.created_at)
        plan = plan_merge(rows, robin, robin_b)
        join = {theirs.id: own.id for own, theirs in plan.same_site} if joining else {}
        merge_clients(rows, plan, MergeChoices(frozenset(from_other), join), START)

        assert snapshot(rows, {"client_id", "work_id"}) == before
        assert rows.get(t.Client, gone_id) is None
        merged = rows.get_one(t.Client, keep_id)
        assert merged.alias == ("robin b" if "alias" in from_other else "Robin")
        told = " ".join([merged.alias, merged.skin_notes, merged.skin_type, merged.undertone])
        assert all(word in told for word in [*names, *said])
        assert merged.created_at.replace(tzinfo=UTC) == since.replace(tzinfo=UTC)
        left = {w.id: w for w in rows.exec(select(t.Work))}
        assert left.keys() == works.keys() - join.keys()
        for key, was in works.items():
            now = left[join.get(key, key)]
            assert was["note"] in now.note
            if was["aim_lab"] is not None:
                assert now.aim_lab == was["aim_lab"] or f"{was['aim_lab'][2]:.2f}" in now.note
        for table in (t.Work, t.PhotoFile, t.Consent, t.Questioning):
            assert gone_id not in {r.client_id for r in rows.exec(select(table))}
        assert [w.id for w in rows.exec(select(t.Work).where(t.Work.client_id == wren.id))] == bystander
        assert rows.connection().exec_driver_sql("PRAGMA foreign_key_check").all() == []
        rows.rollback()


@pytest.mark.parametrize("target", ["client", "work"])
def test_every_table_that_points_to_a_client_or_a_work_is_moved(target) -> None:
    """Later tables too; verdicts alone are not, which are forgotten and made anew."""
    pointing = {
        table.name
        for table in SQLModel.metadata.sorted_tables
        for key in table.foreign_keys
        if key.column.table.name == target
    }
    moved = {table.name for table, _ in _pointing_to(target)}
    least = {"client": {"work", "photofile", "consent", "questioning"}, "work": {"session", "follow_up"}}
    assert least[target] <= moved == pointing - {"judged_work", "judged_cycle"}


consent = st.builds(
    lambda scope, given, for_days: t.Consent(
        client_id=1,
        scope=scope,
        given_on=given,
        withdrawn_on=None if for_days is None else given + timedelta(days=for_days),
    ),
    st.sampled_from(CONSENT_SCOPES),
    DAYS,
    st.none() | st.integers(0, 20),
)


@steady
@given(one=st.lists(consent, max_size=4), other=st.lists(consent, max_size=4))
def test_nothing_withdrawn_is_in_force_again(one, other):
    for after in consents_after(one, other):
        mine, theirs = ([c for c in side if c.scope == after.scope] for side in (one, other))
        in_force = {id(c) for c in mine + theirs if c.withdrawn_on is None}
        ended = {id(c) for c, _ in after.ended}
        assert ended <= in_force
        assert after.in_force == bool(in_force - ended)
        for own, across in ((mine, theirs), (theirs, mine)):
            for c in own:
                withdrawn_since = [w.withdrawn_on for w in across if w.withdrawn_on and w.withdrawn_on >= c.given_on]
                if c.withdrawn_on is None:
                    assert (id(c) in ended) == bool(withdrawn_since)


@steady
@given(one=st.lists(consent, max_size=4), other=st.lists(consent, max_size=4))
def test_it_does_not_matter_which_record_stays(one, other):
    first, second = consents_after(one, other), consents_after(other, one)
    assert [a.in_force for a in first] == [a.in_force for a in second]


def test_a_record_cannot_be_merged_with_itself(engine):
    with DatabaseSession(engine) as rows:
        robin, *_ = fill(rows, random.Random(1))
        with pytest.raises(MergeRefused, match="one and the same"):
            plan_merge(rows, robin, robin)
        rows.rollback()


def test_photos_do_not_move_without_a_consent_in_force(engine):
    with DatabaseSession(engine) as rows:
        robin, robin_b, _ = fill(rows, random.Random(1))
        rows.add(photo(robin, random.Random(3)))
        theirs = rows.exec(select(t.Consent).where(t.Consent.client_id == robin_b.id)).one()
        theirs.withdrawn_on = START + timedelta(days=9)
        rows.flush()
        plan = plan_merge(rows, robin, robin_b)
        assert "no consent to photo storage would be in force" in plan.refusal
        with pytest.raises(MergeRefused):
            merge_clients(rows, plan, MergeChoices(), START)
        rows.add(t.Consent(client_id=robin.id, scope=PHOTO_STORAGE, given_on=START + timedelta(days=10)))
        rows.flush()
        plan = plan_merge(rows, robin, robin_b)
        assert plan.refusal == ""
        merge_clients(rows, plan, MergeChoices(), START)
        kept = rows.exec(select(t.Consent).where(t.Consent.client_id == robin.id).order_by(t.Consent.given_on)).all()
        assert [c.withdrawn_on for c in kept] == [START + timedelta(days=9)] * 2 + [None]
        assert "Ended at merging" in "".join(c.note for c in kept)
        rows.rollback()
