"""Invented labels in the forms that Regulation (EU) 2020/2081 asks for: CI numbers, INCI-like names, CAS numbers."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.properties import steady
from webapp.pigments.constituent import Constituent
from webapp.pigments.label import Label, read_label

R, Y, K, W, C = "77491", "77492", "77499", "77891", "77266"
LABELS = [
    # Colour Index numbers as they are printed, and as they are misprinted
    ("CI 77491, CI 77891, Carbon black (CI 77266), aqua", [R, W, C, "water"]),
    ("C.I.77491; C.I. 77492; C. I. 77499", [R, Y, K]),
    ("CI77491 CI77492".replace(" ", ", "), [R, Y]),
    ("CI-77491, CI_77492, CI#77499, CI:77891", [R, Y, K, W]),
    ("Cl 77491, C1 77492, C.l. 77499", [R, Y, K]),
    ("ci 77 491, CI 774 92, CI 77.499", [R, Y, K]),
    ("77491, 77492,77499", [R, Y, K]),
    ("77491,77492,77499,77891", [R, Y, K, W]),
    ("CI 77491/77492/77499", [R, Y, K]),
    ("CI 77491 + CI 77891", [R, W]),
    ("Colour Index 77491, Color Index No. 77492, C.I. No. 77499, CI nr 77891", [R, Y, K, W]),
    ("Iron oxides (CI 77491, CI 77492, CI 77499), aqua", [R, Y, K, "water"]),
    ("Titanium Dioxide [CI 77891]; Iron Oxides [CI 77491; 77499]", [W, R, K]),
    ("CI 77891 12 %, CI 77491 8.5%, aqua 60,5 %", [W, R, "water"]),
    ("(CI 77491, CI 77492)", [R, Y]),
    ("CI 77268:1, CI 15850:1", ["77268:1", "15850:1"]),
    ("CI 11111", ["11111"]),
    # Colour Index names
    ("Pigment Red 101, Pigment Yellow 42, Pigment Black 11", [R, Y, K]),
    ("P.R. 101; PY42; PBk 11; PW 6; PBk7", [R, Y, K, W, C]),
    ("C.I. Pigment Blue 15:3, C.I. Pigment Green 7", ["74160", "74260"]),
    ("Pigment Rot 101, Pigment Gelb 42, Pigmentschwarz 7", [R, Y, C]),
    ("Pigment rouge 101; pigment jaune 42; pigment noir 7", [R, Y, C]),
    ("Pigmento rojo 101, pigmento amarillo 42, pigmento negro 7", [R, Y, C]),
    ("Pigmento rosso 101, pigmento giallo 42, pigmento nero 7", [R, Y, C]),
    ("Pigment czerwony 101, pigment żółty 42, pigment czarny 7", [R, Y, C]),
    # CAS numbers
    ("1309-37-1, 13463-67-7, 1333-86-4", [R, W, C]),
    ("Titanium dioxide, CAS 13463-67-7, EC 236-675-5", [W, W, "?"]),
    ("Titanium dioxide (CAS No. 13463-67-7 / EC No. 236-675-5), Carbon black (CAS: 1333-86-4)", [W, C]),
    ("12227-89-3 (iron oxide black)", [K]),
    ("147-14-9", ["?"]),
    # names in several languages
    ("Aqua, Glycerin, Iron Oxide Red, Titanium Dioxide, Phenoxyethanol", ["water", "glycerin", R, W, "phenoxyethanol"]),
    ("Wasser, Eisenoxid rot, Eisenoxidschwarz, Titandioxid, Ruß, Zaubernuss", ["water", R, K, W, C, "witch hazel"]),
    ("Eau, oxyde de fer jaune, dioxyde de titane, noir de carbone, glycérine", ["water", Y, W, C, "glycerin"]),
    ("Agua, óxido de hierro negro, dióxido de titanio, negro de humo, glicerina", ["water", K, W, C, "glycerin"]),
    ("Acqua, ossido di ferro rosso, biossido di titanio, nerofumo, glicerina", ["water", R, W, C, "glycerin"]),
    ("Woda, czerwony tlenek żelaza, dwutlenek tytanu, sadza, gliceryna", ["water", R, W, C, "glycerin"]),
    ("Water, ijzeroxide rood, titaandioxide, koolzwart", ["water", R, W, C]),
    (
        "Aqua (Water), aqua/water/eau, purified water, Hamamelis Virginiana (Witch Hazel) Water",
        ["water", "water", "water", "witch hazel"],
    ),
    ("Sodium Hydroxide (pH regulator), citric acid [pH regulator]", ["sodium hydroxide", "citric acid"]),
    ("1,2-Hexanediol, 1,3-propanediol, PEG-8", ["hexanediol", "propanediol", "macrogol"]),
    ("iron oxides", ["iron oxides"]),
    # whole labels, with what stands beside the constituents
    (
        "Mixture for use in tattoos or permanent make-up\nIngredients: Aqua, CI 77499, Glycerin.\n"
        "Contains nickel. Can cause allergic reactions.\nLOT 2231\nEXP 03/2027\n10 ml",
        ["water", K, "glycerin"],
    ),
    (
        "Gemisch zur Verwendung in Tätowierungen oder Permanent-Make-up. Inhaltsstoffe: Wasser; CI 77491; "
        "Isopropanol.\nEnthält Nickel. Kann allergische Reaktionen hervorrufen. Ch.-B.: A17, MHD 2027-03",
        ["water", R, "isopropyl alcohol"],
    ),
    (
        "Mélange pour tatouage ou maquillage permanent\nIngrédients : eau, CI 77492, alcool.\nContient du nickel. "
        "Peut provoquer des réactions allergiques.\nN° de lot 12",
        ["water", Y, "alcohol"],
    ),
    (
        "Mezcla para su uso en tatuajes o maquillaje permanente\nIngredientes: agua, CI 77491\nContiene níquel. "
        "Puede provocar reacciones alérgicas.\nLote 7 Caducidad 03/2027",
        ["water", R],
    ),
    (
        "Miscela per tatuaggi o trucco permanente\nIngredienti: acqua, CI 77499\nContiene nichel. "
        "Può provocare reazioni allergiche.\nLotto 12",
        ["water", K],
    ),
    (
        "Mieszanina do stosowania w tatuażach lub makijażu permanentnym\nSkładniki: woda, CI 77891\nZawiera nikiel. "
        "Może powodować reakcje alergiczne.\nPartia 3",
        ["water", W],
    ),
    ("Pigments: CI 77491, CI 77492\nCarriers?: aqua", [R, Y, "?"]),
    ("Aqua\nGlycerin\nCI 77491\n\nCI 77492", ["water", "glycerin", R, Y]),
    ("Aqua, Titanium\nDioxide, Propylene\nGlycol", ["water", W, "propylene glycol"]),
    ("• Aqua\n• CI 77491\n- CI 77492", ["water", R, Y]),
    ("Aqua, quibble root extract, CI 77491", ["water", "?", R]),
]
ids = [text[:40].replace("\n", " ") for text, _ in LABELS]


def read(label: Label) -> list[str]:
    """Give each constituent as its number, its plain name, or a question mark."""
    return [
        c.number or ("?" if c.role == "unknown" else c.plain.split(":")[0].split(",")[0]) for c in label.constituents
    ]


def letters(text: str) -> str:
    return "".join(c for c in text if c.isalnum())


@pytest.mark.parametrize(("text", "wanted"), LABELS, ids=ids)
def test_an_invented_label_is_understood(text: str, wanted: list[str]) -> None:
    assert read(read_label(text)) == wanted


def test_there_are_enough_labels() -> None:
    assert len({text for text, _ in LABELS}) >= 40


@pytest.mark.parametrize("text", [text for text, _ in LABELS], ids=ids)
def test_all_that_is_printed_is_kept_in_order(text: str) -> None:
    assert "".join(letters(e.text) for e in read_label(text).entries) == letters(text)


any_label = st.lists(
    st.sampled_from([part for text, _ in LABELS for part in text.split(",")])
    | st.text(max_size=12)
    | st.sampled_from(
        ["[+/- ", "]", "(", ")", "CI 77491", " may contain ", "12 %", "\n", "; ", ", ", "LOT 3", "Pigments:"]
    ),
    max_size=12,
).map("".join)


@steady
@given(any_label)
def test_whatever_is_typed_nothing_is_lost_and_the_order_stays(text: str) -> None:
    assert "".join(letters(e.text) for e in read_label(text).entries) == letters(text)


@steady
@given(any_label)
def test_its_own_way_of_writing_reads_back_the_same(text: str) -> None:
    once = read_label(text)
    again = read_label(once.canonical)
    told = [(c.number, c.share if c.number else None, c.optional) for c in once.constituents]
    assert [(c.number, c.share if c.number else None, c.optional) for c in again.constituents] == told
    assert again.canonical == once.canonical


@steady
@given(any_label)
def test_a_constituent_kept_by_itself_is_the_same_again(text: str) -> None:
    for one in read_label(text).constituents:
        assert Constituent.kept(one.kept_text, one.role, one.number, one.share) == replace(one, doubt="")
        assert not one.text.startswith("+/-")


@pytest.mark.parametrize(
    ("text", "share"),
    [
        ("CI 77891 12 %", 12.0),
        ("CI 77891 (12,5%)", 12.5),
        ("8.25 % CI 77891", 8.25),
        ("CI 77891 < 5 %", None),
        ("CI 77891 5-10 %", None),
        ("CI 77891 5–10%", None),
        ("CI 77891 120 %", None),
        ("CI 77891", None),
    ],
)
def test_a_share_is_read_where_one_is_printed(text: str, share: float | None) -> None:
    assert [(c.number, c.share) for c in read_label(text).constituents] == [("77891", share)]


@pytest.mark.parametrize(
    ("text", "optional"),
    [
        ("CI 77491, CI 77492 [+/- CI 77499, CI 77891], aqua", [K, W]),
        ("CI 77491 [+/-] CI 77499, CI 77891", [K, W]),
        ("CI 77491, May contain: CI 77499", [K]),
        ("CI 77491, may contain (+/-): CI 77499", [K]),
        ("CI 77491, kann enthalten: CI 77499", [K]),
        ("CI 77491, peut contenir +/- CI 77499", [K]),
        ("CI 77491, ± CI 77499", [K]),
        ("CI 77491, CI 77499", []),
    ],
)
def test_what_may_be_contained_is_told_apart(text: str, optional: list[str]) -> None:
    assert [c.number for c in read_label(text).constituents if c.optional] == optional


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("147-14-9", "last digit does not fit"),
        ("CI 77492 Pigment Red 101", "do not agree"),
        ("CI 77499 titanium dioxide", "do not agree"),
        ("CI 11111", "not in the table"),
        ("CI 77491 Pigment Red 101, 1309-37-1", ""),
    ],
)
def test_what_does_not_agree_is_said(text: str, sentence: str) -> None:
    doubt = read_label(text).constituents[0].doubt
    assert sentence in doubt
    assert bool(sentence) == bool(doubt)


def test_nickel_is_told() -> None:
    assert read_label("Aqua, CI 77491\nContains nickel. Can cause allergic reactions.").says_nickel
    assert read_label("Wasser. Enthält Nickel.").says_nickel
    assert not read_label("Aqua, CI 77491, nickel free").says_nickel


def test_a_post_code_is_no_colourant() -> None:
    assert [c.number for c in read_label("Invented Maker, 12475 Nowhere").constituents] == ["", ""]
