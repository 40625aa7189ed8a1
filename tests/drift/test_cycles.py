from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.drift.made import START, day, reading, session
from tests.properties import steady
from webapp.drift.cycles import HEALING_DAYS, find_cycles
from webapp.drift.reading import SessionFacts, months_between


def test_readings_belong_to_the_session_before_them() -> None:
    sessions = [session(12, key=2), session(0, key=1)]
    first, second = find_cycles(sessions, [reading(m) for m in (14, 3, 8, 20)])
    assert [r.on for r in first.healed] == [day(3), day(8)]
    assert [r.on for r in second.healed] == [day(14), day(20)]


def test_a_reading_on_the_day_of_a_session_shows_its_result_not_what_was_before() -> None:
    first, second = find_cycles([session(0, key=1), session(6, key=2)], [reading(6)])
    assert first.readings == ()
    assert [r.on for r in second.healing] == [day(6)]


def test_a_reading_before_every_session_belongs_to_none() -> None:
    (cycle,) = find_cycles([session(2)], [reading(1), reading(5)])
    assert [r.on for r in cycle.readings] == [day(5)]


def test_without_a_session_there_is_no_cycle() -> None:
    assert find_cycles([], [reading(3)]) == ()


def test_the_baseline_is_the_first_sound_healed_reading() -> None:
    too_early, unsound, baseline = reading(0.5), reading(1.2, sound=False), reading(2)
    (cycle,) = find_cycles([session()], [reading(5), baseline, unsound, too_early])
    assert cycle.baseline == baseline
    assert cycle.healing == (too_early,)
    assert cycle.set_aside == (unsound,)


def test_where_nothing_has_healed_there_is_no_baseline() -> None:
    (cycle,) = find_cycles([session()], [reading(0.3), reading(2, sound=False)])
    assert cycle.baseline is None


@pytest.mark.parametrize(("days", "healed"), [(HEALING_DAYS - 1, False), (HEALING_DAYS, True)])
def test_healing_ends_on_its_last_day(days: int, healed: bool) -> None:
    on_day = reading(days / (365.25 / 12))
    assert on_day.on == START + timedelta(days=days)
    (cycle,) = find_cycles([session()], [on_day])
    assert (len(cycle.healing), len(cycle.healed)) == ((0, 1) if healed else (1, 0))


def test_the_studio_can_set_how_long_healing_takes() -> None:
    (cycle,) = find_cycles([session()], [reading(1.2)], healing_days=60)
    assert len(cycle.healing) == 1


@given(months=st.lists(st.integers(0, 60), max_size=25), starts=st.sets(st.integers(0, 50), min_size=1, max_size=5))
@steady
def test_every_reading_lies_in_exactly_one_cycle_and_one_state(months: list[int], starts: set[int]) -> None:
    readings = [reading(m / 2, sound=m % 3 > 0, key=i) for i, m in enumerate(months)]
    cycles = find_cycles([session(s, key=i) for i, s in enumerate(starts)], readings)
    found = [r.key for c in cycles for r in (*c.healing, *c.healed, *c.set_aside)]
    assert sorted(found) == [r.key for r in readings if r.on >= day(min(starts))]
    assert all(list(c.readings) == sorted(c.readings, key=lambda r: (r.on, r.key)) for c in cycles)


@pytest.mark.parametrize(
    ("families", "family"),
    [
        ((), "unknown"),
        (("unknown",), "unknown"),
        (("inorganic",), "inorganic"),
        (("inorganic", "inorganic"), "inorganic"),
        (("inorganic", "unknown"), "inorganic"),
        (("carbon/organic", "inorganic"), "hybrid"),
        (("hybrid", "inorganic"), "hybrid"),
    ],
)
def test_several_families_in_one_session_make_a_hybrid(families: tuple[str, ...], family: str) -> None:
    assert SessionFacts(1, START, "touch-up", families=families).family == family


def test_a_year_has_twelve_months() -> None:
    assert months_between(date(2023, 1, 1), date(2027, 1, 1)) == pytest.approx(48)
