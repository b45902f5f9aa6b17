"""The allergen lists against each law, by number and by what tells them apart."""

from __future__ import annotations

from lowsimmer.reference.catalogue import allergen_lists, foods

CEREALS = {"gluten-wheat", "gluten-rye", "gluten-barley", "gluten-oat", "gluten-spelt"}


def listed(regime: str) -> set[str]:
    """The list of one law with the cereals as one."""
    return {"gluten" if key in CEREALS else key for key in allergen_lists()[regime]}


def test_the_united_states_list_nine() -> None:
    assert len(listed("us")) == 9, "FALCPA 2004 (eight) and FASTER Act 2021 (sesame)"
    assert not {"gluten-rye", "gluten-barley", "gluten-oat"} & allergen_lists()["us"].keys(), "FALCPA: wheat only"
    assert "mollusc" not in allergen_lists()["us"], "FALCPA: crustacean shellfish only"


def test_the_european_union_and_the_united_kingdom_list_fourteen() -> None:
    assert len(listed("eu")) == 14, "Regulation (EU) 1169/2011 Annex II"
    assert listed("uk") == listed("eu"), "Food Information Regulations 2014"


def test_australia_and_new_zealand_list_neither_celery_nor_mustard() -> None:
    assert not {"celery", "mustard"} & listed("au-nz"), "Food Standards Code, Schedule 9"
    assert {"lupin", "mollusc", "sulphite", "sesame"} <= listed("au-nz"), "Food Standards Code, Schedule 9"


def test_every_allergen_of_the_catalogue_is_on_a_list() -> None:
    held = {allergen for food in foods().values() for allergen in food.allergens}
    assert held <= allergen_lists()["eu"].keys()
