"""Consents by scope; what a withdrawal removes, and that nothing of it is left on the disk."""

import struct
from datetime import date

import pytest
from sqlmodel import Session as DatabaseSession

from tests.page_reading import Page, refused
from tests.studio import Studio
from tests.synthetic import draw_photo
from webapp.records.judged import JudgedCycle, JudgedWork
from webapp.records.tables import Consent, FollowUp, MeasurementRow, PhotoFile, Session, Work
from webapp.records.words import CONSENT_SCOPES, PHOTO_STORAGE, STUDIO_STATISTICS, TEACHING

AGREED = {"consent_on": "2025-03-01", "consent_note": "paper in folder 3"}


def in_force(studio: Studio) -> list[str]:
    return [c.scope for c in studio.rows(Consent) if c.withdrawn_on is None]


def agree(studio: Studio, *scopes: str) -> None:
    answer = studio.browser.post("/clients/1/consent", data=AGREED | {"scopes": list(scopes)})
    assert answer.status_code == 303


def test_a_new_client_may_agree_to_all_three(studio: Studio) -> None:
    sent = {"alias": "Robin", "consent_on": "2025-01-10"}
    ticks = {"consent": "yes", "consent_statistics": "yes", "consent_teaching": "yes"}
    studio.browser.post("/clients/new", data=sent | ticks)
    assert in_force(studio) == list(CONSENT_SCOPES)


def test_each_scope_is_recorded_with_its_day_and_note(studio: Studio) -> None:
    studio.add_client(consent=False)
    agree(studio, STUDIO_STATISTICS, TEACHING)
    assert in_force(studio) == [STUDIO_STATISTICS, TEACHING]
    page = Page(studio.browser.get("/clients/1/consents"))
    assert page.words.count("in force, given on 1 Mar 2025") == 2
    assert "paper in folder 3" in page.words
    assert "(photo storage) ○ not given" in page.words


def test_what_is_in_force_stays_as_it_was_given(studio: Studio) -> None:
    studio.add_client()
    agree(studio, *CONSENT_SCOPES)
    assert [(c.scope, c.given_on) for c in studio.rows(Consent)] == [
        (PHOTO_STORAGE, date(2025, 1, 10)),
        (STUDIO_STATISTICS, date(2025, 3, 1)),
        (TEACHING, date(2025, 3, 1)),
    ]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"scopes": []}, "scopes"),
        ({"scopes": "everything"}, "scopes"),
        ({"consent_on": "soon"}, "consent_on"),
        ({"consent_note": "n" * 501}, "consent_note"),
    ],
)
def test_a_wrong_entry_is_named_and_the_rest_is_kept(studio: Studio, change: dict[str, str], field: str) -> None:
    studio.add_client(consent=False)
    sent = AGREED | {"scopes": [TEACHING]} | change
    page = refused(studio.browser.post("/clients/1/consent", data=sent), field)
    if field != "scopes":
        assert page.fields["scopes"] == TEACHING
    assert page.fields["consent_note"] == sent["consent_note"]
    assert studio.rows(Consent) == []


def test_the_page_to_sign_says_each_scope_and_what_its_end_does(studio: Studio) -> None:
    studio.add_client()
    answer = studio.browser.get("/clients/1/consents/print")
    page = Page(answer)
    assert page.words.count("☐ yes ☐ no") == 3
    assert page.words.count("If I withdraw it:") == 3
    assert "Signature of the client" in page.words
    assert "/static/people.css" in answer.text


@pytest.mark.parametrize("scope", CONSENT_SCOPES)
def test_a_withdrawal_ends_its_own_scope_alone(studio: Studio, measured: int, scope: str) -> None:
    agree(studio, *CONSENT_SCOPES)
    asked = Page(studio.browser.get("/clients/1/withdraw", params={"scope": scope}))
    assert f"to {scope}?" in asked.words
    assert asked.fields["scope"] == scope
    done = Page(studio.browser.post("/clients/1/withdraw", data={"scope": scope}))
    assert f"Consent to {scope} withdrawn" in done.words
    assert in_force(studio) == [s for s in CONSENT_SCOPES if s != scope]
    photos = 0 if scope == PHOTO_STORAGE else 1
    assert len(studio.photo_files()) == len(studio.rows(MeasurementRow)) == photos


@pytest.mark.parametrize("scope", ["everything", "Photo storage", "photo"])
def test_a_scope_that_does_not_exist_withdraws_nothing(studio: Studio, measured: int, scope: str) -> None:
    assert studio.browser.get("/clients/1/withdraw", params={"scope": scope}).status_code == 404
    assert studio.browser.post("/clients/1/withdraw", data={"scope": scope}).status_code == 404
    assert in_force(studio) == [PHOTO_STORAGE]
    assert len(studio.photo_files()) == 1


def test_withdrawn_from_statistics_says_how_many_works_left_them(studio: Studio, measured: int) -> None:
    agree(studio, STUDIO_STATISTICS)
    done = Page(studio.browser.post("/clients/1/withdraw", data={"scope": STUDIO_STATISTICS}))
    assert "Taken out of every pooled figure of the studio: 1 measured work." in done.words


def test_given_again_it_has_a_new_day_and_the_old_one_stays_on_record(studio: Studio) -> None:
    studio.add_client()
    studio.browser.post("/clients/1/withdraw")
    agree(studio, PHOTO_STORAGE)
    page = Page(studio.browser.get("/clients/1/consents"))
    assert "in force, given on 1 Mar 2025" in page.words
    assert "given on 10 Jan 2025, withdrawn on" in page.words


def test_after_a_withdrawal_nothing_of_the_photo_is_left_in_any_file(studio: Studio, measured: int) -> None:
    """Rows, photo, pictures, write-ahead log, and the pages of the database that the rows lay on."""
    photo, measurement = studio.rows(PhotoFile)[0], studio.rows(MeasurementRow)[0]
    with DatabaseSession(studio.browser.app.state.engine) as rows:
        work, session = rows.get_one(Work, 1), rows.get_one(Session, 1)
        work.aim_lab, work.aim_from, work.aim_note = [41.123456, 9.5, 12.25], "photo", "a little deeper"
        session.baseline_follow_up_id, session.baseline_because = measured, "the first was blurred"
        rows.commit()
    for address in ("/photos/1/whole.jpg", "/follow-ups/1/balanced.jpg", "/works/1", "/families", "/", "/clients/1"):
        assert studio.browser.get(address).status_code == 200
    traces = [
        photo.sha256.encode(),
        str(measurement.pigment_lab[0]).encode(),
        b"41.123456",
        studio.photo_files()[0].read_bytes()[:4000],
    ]
    there = everything(studio)
    assert [t[:40] for t in traces if not any(t in content for content in there)] == []

    said = Page(studio.browser.post("/clients/1/withdraw", data={"scope": PHOTO_STORAGE})).words
    assert "Deleted: 1 photo, 1 follow-up with what was measured on them, 1 aim picked from them" in said
    for trace in traces:
        assert [name for name, content in named(studio) if trace in content] == [], trace
    assert [studio.rows(t) for t in (PhotoFile, FollowUp, MeasurementRow)] == [[], [], []]
    work, session = studio.rows(Work)[0], studio.rows(Session)[0]
    assert (work.aim_lab, work.aim_from, work.aim_note) == (None, "", "a little deeper")
    assert (session.baseline_follow_up_id, session.baseline_because) == (None, "")


def test_kept_verdicts_go_with_the_photos(studio: Studio, measured: int) -> None:
    """What was judged holds colours too: its rows, and their eight bytes a number on the disk (SQLite's REAL)."""
    for on, seed in (("2025-07-15", 3), ("2025-11-15", 4), ("2026-03-15", 5)):
        studio.measure(studio.add_photo(1, on, draw_photo(seed=seed)), on=on)
    studio.browser.get("/")
    cycles = studio.rows(JudgedCycle)
    assert len(cycles) == len(studio.rows(JudgedWork)) == 1
    traces = [struct.pack(">d", value) for value in (cycles[0].skin_l, cycles[0].warmth)]
    assert all(any(trace in content for content in everything(studio)) for trace in traces)
    studio.browser.post("/clients/1/withdraw")
    assert studio.rows(JudgedCycle) == studio.rows(JudgedWork) == []
    assert [name for name, content in named(studio) for trace in traces if trace in content] == []


def named(studio: Studio) -> list[tuple[str, bytes]]:
    return [(p.name, p.read_bytes()) for p in studio.settings.folder.rglob("*") if p.is_file()]


def everything(studio: Studio) -> list[bytes]:
    return [content for _, content in named(studio)]


def test_an_aim_from_a_swatch_is_the_pigments_and_stays(studio: Studio, measured: int) -> None:
    with DatabaseSession(studio.browser.app.state.engine) as rows:
        work = rows.get_one(Work, 1)
        work.aim_lab, work.aim_from = [40.0, 8.0, 12.0], "swatch"
        rows.commit()
    studio.browser.post("/clients/1/withdraw")
    assert studio.rows(Work)[0].aim_lab == [40.0, 8.0, 12.0]
