from collections.abc import Iterator

import numpy as np
import pytest
from sqlmodel import Session as DatabaseSession

from tests.pages.shelf_rows import (
    COOL,
    WARM,
    add_client,
    add_pigment,
    add_reading,
    add_session,
    add_work,
)
from tests.studio import Studio
from webapp.pages.density_limit import DENSEST, limits_for
from webapp.pages.learned import Learned, learn, place_of
from webapp.records.tables import Session


@pytest.fixture
def rows(studio: Studio) -> Iterator[DatabaseSession]:
    with DatabaseSession(studio.browser.app.state.engine) as opened:
        yield opened


def learned(rows: DatabaseSession, studio: Studio) -> Learned:
    rows.commit()
    found = learn(rows, studio.settings)
    rows.rollback()  # what was read here must not hold up what a test writes next
    return found


def test_a_first_session_teaches_its_pigment_by_its_first_sound_healed_photo(
    rows: DatabaseSession, studio: Studio
) -> None:
    clay = add_pigment(rows, "Clay")
    work = add_work(rows, add_client(rows, "Ada"))
    add_session(rows, work, 0, clay)
    for months, depth, grade in ((0.5, 0.9, "good"), (1.5, 0.8, "retake"), (2, 0.6, "good"), (8, 0.4, "good")):
        add_reading(rows, work, months, depth * WARM, grade)
    (baseline,) = learned(rows, studio).baselines
    assert baseline.pigments == {clay}
    assert baseline.family == "inorganic"
    np.testing.assert_allclose(baseline.taken, 0.6 * WARM, atol=1e-6)


def test_the_baseline_that_the_artist_set_is_the_one_learned_from(rows: DatabaseSession, studio: Studio) -> None:
    work = add_work(rows, add_client(rows, "Ada"))
    session = add_session(rows, work, 0, add_pigment(rows, "Clay"))
    add_reading(rows, work, 2, 0.6 * WARM)
    later = add_reading(rows, work, 4, 0.5 * WARM)
    rows.get_one(Session, session).baseline_follow_up_id = later
    (baseline,) = learned(rows, studio).baselines
    np.testing.assert_allclose(baseline.taken, 0.5 * WARM, atol=1e-6)


def test_only_clients_who_agreed_to_the_statistics_teach_anything(rows: DatabaseSession, studio: Studio) -> None:
    clay = add_pigment(rows, "Clay")
    for alias, agreed in (("Ada", True), ("Bea", False)):
        work = add_work(rows, add_client(rows, alias, agreed))
        add_session(rows, work, 0, clay)
        for months in (2, 6, 10):
            add_reading(rows, work, months, 0.6 * 0.5 ** (months / 36) * WARM)
    found = learned(rows, studio)
    assert len({b.client for b in found.baselines}) == len({c.client for c in found.courses}) == 1


def test_a_later_session_counts_by_what_it_added(rows: DatabaseSession, studio: Studio) -> None:
    clay, night = add_pigment(rows, "Clay"), add_pigment(rows, "Night", "carbon/organic")
    work = add_work(rows, add_client(rows, "Ada"))
    add_session(rows, work, 0, clay)
    add_reading(rows, work, 2, 0.6 * WARM)
    add_reading(rows, work, 11, 0.4 * WARM)
    add_session(rows, work, 12, night, kind="correction")
    add_reading(rows, work, 14, 0.4 * WARM + 0.3 * COOL)
    found = learned(rows, studio)
    assert [b.pigments for b in found.baselines] == [{clay}, {night}]
    np.testing.assert_allclose(found.baselines[1].taken, 0.3 * COOL, atol=1e-6)
    assert found.baselines[1].family == "carbon/organic"
    assert [c.pigment for c in found.courses] == [clay], "what fades afterwards is both"


def test_a_touch_up_with_the_same_pigment_is_more_of_it(rows: DatabaseSession, studio: Studio) -> None:
    clay = add_pigment(rows, "Clay")
    work = add_work(rows, add_client(rows, "Ada"))
    add_session(rows, work, 0, clay)
    add_session(rows, work, 2, clay, kind="touch-up")
    add_reading(rows, work, 4, 0.7 * WARM)
    found = learned(rows, studio)
    (baseline,) = found.baselines
    np.testing.assert_allclose(baseline.taken, 0.7 * WARM, atol=1e-6)
    assert found.courses[0].depth is None, "two sessions' depth is no new work's"


@pytest.mark.parametrize("kind", ["earlier work", "removal"])
def test_after_what_nobody_entered_a_session_counts_only_by_what_it_added(
    rows: DatabaseSession, studio: Studio, kind: str
) -> None:
    clay = add_pigment(rows, "Clay")
    work = add_work(rows, add_client(rows, "Ada"))
    add_session(rows, work, 0, kind=kind)
    add_session(rows, work, 12, clay, kind="correction")
    add_reading(rows, work, 14, 0.7 * WARM)
    assert learned(rows, studio).baselines == ()
    add_reading(rows, work, 10, 0.5 * COOL)
    (baseline,) = learned(rows, studio).baselines
    np.testing.assert_allclose(baseline.taken, 0.7 * WARM - 0.5 * COOL, atol=1e-6)


def test_a_mix_is_kept_as_a_mix_and_a_photo_without_skin_teaches_nothing(rows: DatabaseSession, studio: Studio) -> None:
    clay, night = add_pigment(rows, "Clay"), add_pigment(rows, "Night", "carbon/organic")
    work = add_work(rows, add_client(rows, "Ada"))
    add_session(rows, work, 0, clay, night)
    add_reading(rows, work, 2, 0.9 * COOL, skin=None)
    add_reading(rows, work, 3, 0.5 * COOL)
    found = learned(rows, studio)
    (baseline,) = found.baselines
    assert baseline.pigments == {clay, night}
    assert baseline.family == "hybrid"
    np.testing.assert_allclose(baseline.taken, 0.5 * COOL, atol=1e-6)
    assert found.courses[0].pigment is None
    assert [x.source for x in found.layers if not x.mixed] == ["practice", "practice"]


def test_how_a_cycle_fades_is_learned_per_year(rows: DatabaseSession, studio: Studio) -> None:
    work = add_work(rows, add_client(rows, "Ada"))
    add_session(rows, work, 0, add_pigment(rows, "Clay"))
    for months in (2, 5, 8, 11, 14):
        add_reading(rows, work, months, 0.8 * 0.5 ** ((months - 2) / 24) * WARM)
    (course,) = learned(rows, studio).courses
    assert course.depth == pytest.approx(0.8, abs=0.01)
    assert course.fading is not None
    assert course.fading[0] == pytest.approx(np.log(2) / 2, rel=0.2), "a half-life of two years"


def test_too_dense_is_what_nine_in_ten_of_the_studios_own_lie_below(rows: DatabaseSession, studio: Studio) -> None:
    clay = add_pigment(rows, "Clay")
    skin = np.array([66.0, 11.0, 17.0])
    few = limits_for(studio.settings.thresholds, skin, "brow", learned(rows, studio))
    assert few.density == DENSEST["brow"]
    assert "no source" in few.density_basis
    for number in range(11):
        work = add_work(rows, add_client(rows, f"client {number}"))
        add_session(rows, work, 0, clay)
        add_reading(rows, work, 2, (0.3 + 0.05 * number) * WARM)
    many = limits_for(studio.settings.thresholds, skin, "brow", learned(rows, studio))
    assert many.density == pytest.approx(0.75, abs=0.01)
    assert "own brows" in many.density_basis
    assert (
        limits_for(studio.settings.thresholds, skin, "eyeliner", learned(rows, studio)).density == DENSEST["eyeliner"]
    )


def test_an_empty_studio_knows_nothing(rows: DatabaseSession, studio: Studio) -> None:
    assert learned(rows, studio) == Learned((), (), ())
    assert (place_of("left upper eyeliner"), place_of("right brow")) == ("eyeliner", "brow")
