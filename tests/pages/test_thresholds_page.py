import pytest

from tests.page_reading import Page, refused
from tests.studio import Studio, close_studio, open_studio
from tests.synthetic import draw_photo
from webapp.records.tables import StudioSetting


def entries(studio: Studio, **changed: str) -> dict[str, str]:
    return Page(studio.browser.get("/thresholds")).fields | changed


def test_each_figure_stands_with_its_source(studio: Studio) -> None:
    page = Page(studio.browser.get("/thresholds"))
    assert page.fields["unacceptable_fair"] == "1.8"
    assert page.fields["density_lost"] == "25"
    assert "Leow et al. 2006" in page.words
    assert "our own choice, no source" in page.words


def test_a_changed_figure_is_used_and_outlives_a_restart(studio: Studio) -> None:
    answer = studio.browser.post("/thresholds", data=entries(studio, density_lost="33"))
    assert answer.headers["location"] == "/thresholds?saved=yes"
    assert [(s.name, s.value) for s in studio.rows(StudioSetting)] == [("density_lost", 0.33)]
    assert "33 % of the baseline" in Page(studio.browser.get("/about")).words
    again = open_studio(studio.settings.folder)
    assert Page(again.browser.get("/thresholds")).fields["density_lost"] == "33"
    close_studio(again)


def test_the_start_values_come_back(studio: Studio) -> None:
    studio.browser.post("/thresholds", data=entries(studio, density_lost="33"))
    studio.browser.post("/thresholds", data={"start_values": "yes"})
    assert studio.rows(StudioSetting) == []
    assert Page(studio.browser.get("/thresholds")).fields["density_lost"] == "25"


@pytest.mark.parametrize(
    ("field", "entry"),
    [("density_lost", "200"), ("density_lost", ""), ("patchy_growth", "much"), ("unacceptable_dark", "1")],
)
def test_a_wrong_figure_is_named_and_nothing_is_kept(studio: Studio, field: str, entry: str) -> None:
    sent = entries(studio, boost_density_lost="50") | {field: entry}
    page = refused(studio.browser.post("/thresholds", data=sent), field)
    assert page.fields["boost_density_lost"] == "50"
    assert studio.rows(StudioSetting) == []


def test_few_photos_cannot_tell_their_noise_and_say_so(studio: Studio, measured: int) -> None:
    page = Page(studio.browser.post("/thresholds", data={"measure_noise": "yes"}))
    assert "cannot tell their own noise yet" in page.words
    assert page.fields["noise_scale"] == "1"


def test_enough_photos_tell_their_noise_which_is_judged_by_once_saved(
    studio: Studio, measured: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("webapp.pages.thresholds._FEWEST_LOOSE", 2)
    for number, on in enumerate(("2025-08-01", "2025-12-01"), 5):
        studio.measure(studio.add_photo(1, on, draw_photo(seed=number)), on=on)
    page = Page(studio.browser.post("/thresholds", data={"measure_noise": "yes"}))
    assert "By 2 comparisons between photos of one cycle" in page.words
    assert "density falls by an exponential or straight, 1 works of three photos up cannot tell" in page.words
    assert 0.5 < float(page.fields["noise_scale"]) < 1, "drawn photos hardly scatter, and the belief counts as ten"
    assert studio.rows(StudioSetting) == []
    studio.browser.post("/thresholds", data=page.fields)
    assert [s.name for s in studio.rows(StudioSetting)] == ["noise_scale"]
