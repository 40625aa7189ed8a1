import numpy as np
import pytest

from tests.correction.made import COOL, SHELF, WARM, baseline
from webapp.correction.learned_layers import BETWEEN_WORKS_SD, Bottle, Layer, family_layer, learn_layers
from webapp.correction.practice import FAMILY

RNG = np.random.default_rng(8)


def named(layers: tuple[Layer, ...], name: str) -> Layer:
    return next(x for x in layers if name in x.names and not x.mixed)


def test_a_layer_is_learned_whatever_the_depth_of_the_works() -> None:
    works = [baseline(2, WARM, depth, client) for client, depth in enumerate((0.2, 0.5, 0.9, 1.3))]
    layer = named(learn_layers(SHELF, works), "Clay")
    np.testing.assert_allclose(layer.k, WARM, atol=1e-9)
    assert (layer.source, layer.clients, layer.works) == ("healed", 4, 4)
    assert "4 healed works of 4 clients" in layer.basis


def test_one_work_gone_wrong_hardly_moves_it() -> None:
    scattered = [baseline(2, WARM + RNG.normal(0, 0.02, 3), 0.5, client) for client in range(8)]
    plain = named(learn_layers(SHELF, scattered), "Clay").k
    with_stray = named(learn_layers(SHELF, [*scattered, baseline(2, np.array([2.5, 0.6, 0.1]), 0.5, 99)]), "Clay").k
    mean = np.mean([b.taken / 0.5 for b in scattered] + [np.array([2.5, 0.6, 0.1])], axis=0)
    assert np.linalg.norm(with_stray - plain) < 0.03
    assert np.linalg.norm(mean - plain) > 0.15, "the stray would pull a plain mean"


def test_a_client_with_many_works_counts_once() -> None:
    many = [baseline(2, COOL, 0.5, client=1) for _ in range(20)]
    others = [baseline(2, WARM, 0.5, client) for client in (2, 3, 4, 5)]
    layer = named(learn_layers(SHELF, many + others), "Clay")
    assert layer.clients == 5
    assert np.linalg.norm(layer.k - WARM) < np.linalg.norm(layer.k - COOL) / 3


def test_more_clients_make_it_surer_and_never_surer_than_works_differ() -> None:
    def spread(clients: int) -> float:
        works = [baseline(2, WARM + RNG.normal(0, 0.05, 3), 0.5, client) for client in range(clients)]
        return float(np.sqrt(np.trace(named(learn_layers(SHELF, works), "Clay").covariance)))

    assert spread(1) > spread(30) > 0.05
    assert spread(1) == pytest.approx(BETWEEN_WORKS_SD * np.sqrt(3 * 2))


def test_a_faint_work_teaches_nothing() -> None:
    assert named(learn_layers(SHELF, [baseline(2, WARM, 0.05)]), "Clay").source == "practice"


def test_without_healed_works_the_swatch_stands_in() -> None:
    bottle = Bottle(2, "Clay", "inorganic", swatch=1.7 * WARM)
    layer = named(learn_layers([bottle], []), "Clay")
    assert (layer.source, layer.clients) == ("swatch", 0)
    np.testing.assert_allclose(layer.k, WARM)
    assert "not been seen healed" in layer.basis
    healed = named(learn_layers([bottle], [baseline(2, COOL)]), "Clay")
    assert healed.source == "healed"
    assert np.trace(layer.covariance) > np.trace(healed.covariance)


def test_without_a_swatch_the_family_stands_in_and_without_that_common_practice() -> None:
    shelf = [*SHELF, Bottle(4, "Loam", "inorganic")]
    layers = learn_layers(shelf, [baseline(2, WARM, client=c) for c in (1, 2)])
    loam, night = named(layers, "Loam"), named(layers, "Night")
    assert (loam.source, loam.clients) == ("family", 2)
    np.testing.assert_allclose(loam.k, WARM, atol=1e-9)
    assert "mean of its family" in loam.basis
    assert (night.source, night.clients) == ("practice", 0)
    np.testing.assert_allclose(night.k, FAMILY["carbon/organic"].k)
    assert "no source" in night.basis


def test_pigments_that_cannot_be_told_apart_come_together() -> None:
    layers = learn_layers([*SHELF, Bottle(4, "Loam", "inorganic")], [])
    together = named(layers, "Loam")
    assert set(together.names) == {"Clay", "Loam"}
    assert together.name.startswith("any inorganic pigment")
    assert len(layers) == 3


def test_a_mix_stands_for_itself_alone() -> None:
    layers = learn_layers(SHELF, [baseline((1, 2), COOL, family="hybrid")])
    (mix,) = [x for x in layers if x.mixed]
    np.testing.assert_allclose(mix.k, COOL)
    assert mix.name == "Night with Clay, mixed as before"
    assert named(layers, "Night").source == named(layers, "Clay").source == "practice"
    assert named(layers, "Fen").source == "family", "what is in the skin is a hybrid"


def test_a_mix_with_a_pigment_no_longer_on_the_shelf_is_not_offered() -> None:
    assert not [x for x in learn_layers(SHELF[:1], [baseline((1, 2), COOL)]) if x.mixed]


def test_an_unknown_family_is_never_learned_from() -> None:
    assert family_layer("unknown", [baseline(9, COOL, family="unknown")]).source == "practice"
