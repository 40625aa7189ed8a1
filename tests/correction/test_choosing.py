from dataclasses import replace

import numpy as np
import pytest

from tests.correction.made import COOL, SHELF, SKIN, WARM, baseline
from tests.correction.test_typical import course
from webapp.correction.cautions import cautions, is_fragile
from webapp.correction.choosing import YEARS, Outlook, Question, like_their_family, look_ahead
from webapp.correction.learned_layers import learn_layers
from webapp.correction.practice import FAMILY
from webapp.correction.trade_offs import trade_offs

ASKED = Question(SKIN, "powder brow", "brow", "", "natural", fragile=False, acceptable=1.8)


def outlook_of(name: str, question: Question = ASKED, **known: list) -> Outlook:
    outlooks = look_ahead(question, SHELF, known.get("baselines", []), known.get("courses", []))
    return next(o for o in outlooks if o.name == name)


def test_every_known_family_and_every_pigment_has_its_outlook() -> None:
    works = [baseline(p, k, client=c) for p, k in ((1, COOL), (2, WARM)) for c in range(3)]
    names = [o.name for o in look_ahead(ASKED, SHELF, works, [])]
    assert names == ["carbon/organic", "inorganic", "hybrid", "Clay", "Night"]
    assert like_their_family(learn_layers(SHELF, works)) == [("Fen", "hybrid")]


def test_common_practice_comes_out_as_the_trade_says_it() -> None:
    carbon, iron, hybrid = (outlook_of(f) for f in ("carbon/organic", "inorganic", "hybrid"))
    assert carbon.half_life[1] > hybrid.half_life[1] > iron.half_life[1]
    assert carbon.ashy > carbon.warm
    assert iron.warm > iron.ashy
    assert carbon.basis == iron.basis == "common practice"
    assert carbon.colours[0].lab[2] < iron.colours[0].lab[2], "carbon heals cooler"


@pytest.mark.parametrize("family", ["carbon/organic", "inorganic", "hybrid"])
def test_each_year_it_is_lighter_and_nearer_to_the_skin(family: str) -> None:
    colours = outlook_of(family).colours
    assert len(colours) == len(YEARS)
    lightness = [c.lab[0] for c in colours]
    assert lightness == sorted(lightness)
    assert lightness[-1] < SKIN[0]


def test_own_figures_take_over_and_are_called_so() -> None:
    few, many = (
        outlook_of(
            "Clay",
            baselines=[baseline(2, COOL, client=c) for c in range(n)],
            courses=[course(c, pigment=2, half_life=0.8) for c in range(n)],
        )
        for n in (2, 30)
    )
    assert many.half_life[1] < few.half_life[1] < FAMILY["inorganic"].half_life_years
    assert many.half_life[1] == pytest.approx(0.8, rel=0.15)
    assert few.basis.startswith("few own figures")
    assert many.basis == "own figures"
    assert many.depth_clients[-1] == 30
    assert many.warm > 0.9, "two units of warmth a year, in all thirty"


def test_the_words_follow_the_figures_and_name_no_winner() -> None:
    carbon, iron = outlook_of("carbon/organic"), outlook_of("inorganic")
    soft, bold = trade_offs(ASKED, carbon), trade_offs(replace(ASKED, wish="bold"), carbon)
    assert any("stays for years" in s for s in soft.speaks_against)
    assert any("stays long" in s for s in bold.speaks_for)
    assert any("sooner" in s for s in trade_offs(replace(ASKED, wish="bold"), iron).speaks_against)
    assert any("goes by itself" in s for s in trade_offs(ASKED, iron).speaks_for)
    assert "ashy" in soft.story
    for said in (soft, bold):
        assert not any(word in said.story.casefold() for word in ("best", "should", "must", "recommend"))


def test_fragile_skin_and_the_eyelid_speak_up() -> None:
    fragile = replace(ASKED, fragile=True)
    assert any("thin or mature" in s for s in trade_offs(fragile, outlook_of("carbon/organic")).speaks_against)
    assert any("thin or mature" in s for s in trade_offs(fragile, outlook_of("inorganic")).speaks_for)
    lid = replace(ASKED, place="eyeliner", technique="eyeliner")
    assert any("eyelid" in s for s in trade_offs(lid, outlook_of("carbon/organic", lid)).speaks_against)


@pytest.mark.parametrize(
    ("words", "fragile"),
    [("thin", True), ("thin and mature", True), ("fair; Mature skin, dry", True), ("", False), ("something", False)],
)
def test_thin_or_mature_skin_is_known_by_its_words(words: str, fragile: bool) -> None:
    assert is_fragile(words) is fragile


def test_cautions_apply_where_they_apply() -> None:
    assert cautions("left brow", "neither", carbon_offered=False) == ()
    assert [c.heading for c in cautions("left upper eyeliner", "thin", carbon_offered=True)] == [
        "Eyelid",
        "Thin or mature skin",
        "Carbon over what is there",
    ]


def test_the_spread_is_shown_and_shrinks_as_own_works_come_in() -> None:
    known = {
        "baselines": [baseline(3, COOL, client=c, family="hybrid") for c in range(30)],
        "courses": [course(c, pigment=3, family="hybrid") for c in range(30)],
    }
    practice, own = outlook_of("hybrid").colours, outlook_of("hybrid", **known).colours
    assert np.all(practice[0].sd > 0.5)
    assert all(np.trace(o.covariance) < np.trace(p.covariance) / 2 for o, p in zip(own, practice, strict=True))
