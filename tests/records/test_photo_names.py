from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.records.photo_names import index_of_aliases, read_name, site_among
from webapp.records.words import SITES

CLIENTS = index_of_aliases(
    [(1, "Robin"), (2, "Robin Smith"), (3, "Änne"), (4, "A12"), (5, "7"), (6, "McKay"), (7, "Wren-2")]
)
days = st.dates(date(1990, 1, 1), date(2099, 12, 31))


@pytest.mark.parametrize(
    ("path", "client"),
    [
        ("Robin/IMG_1234.jpg", 1),
        ("old/robin left brow.jpg", 1),
        ("ROBIN_SMITH/lb.jpg", 2),
        ("RobinSmithLeftBrow.jpg", 2),
        ("Robin/Robin Smith.jpg", None),
        ("anne 2024.jpeg", 3),
        ("a12.heic", 4),
        ("A-12 links.png", 4),
        ("7/2024-03-12 left brow.jpg", 5),
        ("IMG_7.jpg", None),
        ("mckay.jpg", 6),
        ("Mc Kay.jpg", 6),
        ("wren2 rb.jpg", 7),
        ("Robinson.jpg", None),
        ("Robin and Änne.jpg", None),
        ("", None),
        ("...", None),
        ("/////.jpg", None),
    ],
)
def test_a_client_is_read_from_whole_words(path: str, client: int | None) -> None:
    assert read_name(path, CLIENTS).client_id == client


@pytest.mark.parametrize(
    ("name", "sites"),
    [
        ("left brow", {"left brow"}),
        ("lb", {"left brow"}),
        ("RB_2", {"right brow"}),
        ("Augenbraue links", {"left brow"}),
        ("rechts oben", {"right upper eyeliner"}),
        ("rul", {"right upper eyeliner"}),
        ("links", {s for s in SITES if s.startswith("left")}),
        ("brows", {"left brow", "right brow"}),
        ("left right", set()),
        ("le soleil", set(SITES)),
        ("holiday", set(SITES)),
    ],
)
def test_a_site_is_read_from_the_words_and_initials_of_the_trade(name: str, sites: set[str]) -> None:
    assert read_name(f"Robin {name}.jpg", CLIENTS).sites == sites


@pytest.mark.parametrize(
    ("path", "day"),
    [
        ("2024-03-12 lb.jpg", date(2024, 3, 12)),
        ("IMG_20240312_101112.jpg", date(2024, 3, 12)),
        ("12.3.2024.jpg", date(2024, 3, 12)),
        ("2024-03-12/2023-01-02.jpg", date(2023, 1, 2)),
        ("2024-03-12/photo.jpg", date(2024, 3, 12)),
        ("03-04-2024.jpg", None),
        ("2024-02-30.jpg", None),
        ("120240312.jpg", None),
    ],
)
def test_a_day_is_read_where_its_order_is_certain(path: str, day: date | None) -> None:
    assert read_name(path, CLIENTS).day == day


def test_two_aliases_alike_are_nobody() -> None:
    assert read_name("mary ann.jpg", index_of_aliases([(1, "Mary Ann"), (2, "Maryann")])).client_id is None


@pytest.mark.parametrize(
    ("meant", "of_client", "site"),
    [
        (SITES, ["left brow"], "left brow"),
        (SITES, ["left brow", "right brow"], ""),
        (["left brow"], ["left brow", "right brow"], "left brow"),
        (["left brow"], ["left brow", "left brow"], "left brow"),
        (["left brow"], ["right brow"], ""),
        ([], ["right brow"], ""),
    ],
)
def test_a_site_is_chosen_where_there_is_one(meant: list[str], of_client: list[str], site: str) -> None:
    assert site_among(meant, of_client) == site


@given(st.text(), st.lists(st.text(), max_size=4))
def test_any_name_is_read_without_a_fall(path: str, aliases: list[str]) -> None:
    said = read_name(path, index_of_aliases(enumerate(aliases)))
    assert said.client_id is None or said.client_id < len(aliases)
    assert said.sites <= set(SITES)


@given(st.from_regex(r"[a-z]{5,12}", fullmatch=True), days, st.sampled_from(SITES), st.sampled_from([" ", "_", "-"]))
def test_whose_when_and_where_are_found_together_in_any_order_of_folders(
    alias: str, day: date, site: str, between: str
) -> None:
    known = index_of_aliases([(1, alias), (2, "somebody else")])
    named = site.replace(" ", between)
    for path in (
        f"{alias}/{day}{between}{named}.jpg",
        f"{day}/{named}/{alias.upper()}.JPG",
        f"{alias}_{named} {day:%Y%m%d}",
    ):
        said = read_name(path, known)
        assert (said.client_id, said.day, said.sites) == (1, day, {site})
