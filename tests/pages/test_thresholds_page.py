import pytest

from tests.page_reading import Page, refused
from tests.studio import Studio, close_studio, open_studio
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
