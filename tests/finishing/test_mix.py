"""The page that works a mix out, as somebody without scripts meets it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from urllib.parse import urlencode

import pytest

if TYPE_CHECKING:
    from tests.web_support import Browser

BY_MASS = {"total_g": "742", "by": "mass", "part_a": "100", "part_b": "18,5", "part_thinner": "5"}
BY_VOLUME = {"total_g": "1 kg", "by": "volume", "part_a": "4", "part_b": "1", "density_a": "1.35", "density_b": "1.02"}
CATALYST = {"resin_g": "1000", "catalyst_percent": "2", "catalyst_density": "1.15"}


def asked(device: Browser, **typed: str) -> tuple[int, str]:
    answer = device.get(f"/mix?{urlencode(typed)}")
    return answer.status_code, answer.get_data(as_text=True)


def cells(page: str) -> dict[str, str]:
    return dict(re.findall(r'data-out="(\w+)">([^<]*)<', page))


def test_the_empty_page_asks_and_works_nothing_out(fitter: Browser) -> None:
    answer = fitter.get("/mix")
    page = answer.get_data(as_text=True)
    assert answer.status_code == 200
    assert set(cells(page).values()) == {"not known"}
    assert "data sheet overrules" in page
    assert "1 to 4 % by mass is what suppliers" in page
    assert 'method="get"' in page


def test_parts_by_mass_with_the_scale_running_on(fitter: Browser) -> None:
    status, page = asked(fitter, **BY_MASS)
    assert status == 200
    found = cells(page)
    # By hand: 742 · 100/123.5, · 18.5/123.5, · 5/123.5.
    assert [found[f"grams_{name}"] for name in ("a", "b", "thinner")] == ["600.8", "111.1", "30"]
    assert [found[f"scale_{name}"] for name in ("a", "b", "thinner")] == ["600.8", "712", "742"]


def test_parts_by_volume_are_weighed_by_their_densities(fitter: Browser) -> None:
    status, page = asked(fitter, **BY_VOLUME)
    assert status == 200
    # By hand: 5.4 and 1.02 parts by mass in 1000 g.
    assert cells(page)["grams_a"] == "841.1"
    assert cells(page)["grams_b"] == "158.9"
    assert cells(page)["scale_thinner"].replace("\u202f", "") == "1000"


def test_catalyst_in_grams_and_in_millilitres_where_its_density_is_known(fitter: Browser) -> None:
    _status, page = asked(fitter, **CATALYST)
    assert (cells(page)["catalyst_g"], cells(page)["catalyst_ml"]) == ("20", "17.4")  # by hand: 20/1.15
    _status, page = asked(fitter, **CATALYST | {"catalyst_density": ""})
    assert (cells(page)["catalyst_g"], cells(page)["catalyst_ml"]) == ("20", "not known")


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        (CATALYST | {"catalyst_percent": "0.9"}, "Catalyst by mass: “0.9” is not taken. Give a number from 1 to 4 %."),
        (CATALYST | {"catalyst_percent": "5"}, "Catalyst by mass: “5” is not taken. Give a number from 1 to 4 %."),
        (CATALYST | {"resin_g": ""}, "Resin: this is needed."),
        (BY_MASS | {"part_b": ""}, "Part B: this is needed."),
        (BY_MASS | {"part_a": "0"}, "Part A: “0” is not taken."),
        (BY_MASS | {"total_g": "1,234"}, "It can be read in two ways: write 1234 or 1.234."),
        (BY_VOLUME | {"density_b": ""}, "Density of B: this is needed."),
        (BY_VOLUME | {"part_thinner": "1"}, "Density of the thinner: this is needed."),
        (BY_MASS | {"by": "guess"}, "“guess” is not taken."),
        (BY_MASS | {"total_g": "nan"}, "Total wanted: “nan” is not taken."),
    ],
)
def test_what_cannot_be_is_named_and_nothing_is_worked_out(
    fitter: Browser, typed: dict[str, str], message: str
) -> None:
    status, page = asked(fitter, **typed)
    assert status == 422
    assert message in page
    assert set(cells(page).values()) == {"not known"}
    for value in typed.values():
        assert not value or f'value="{value}"' in page or value == "guess"


def test_a_name_that_is_not_asked_for_does_no_harm(fitter: Browser) -> None:
    assert asked(fitter, nothing="<b>")[0] == 200
    assert asked(fitter, part_a="\x00")[0] == 422


def test_a_stranger_is_asked_to_sign_in(stranger: Browser) -> None:
    assert stranger.get("/mix").status_code == 303
