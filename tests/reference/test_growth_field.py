"""Growth equations against values computed from the printed coefficients.

McPherson, van Doorn & Peper 2016, Urban tree database, RDS-2016-0005: stem diameter from age by region.
The expected values are those that the database's own limits show (Zelkova 81.63 cm, Celtis 82.11 cm,
log-log minimum 1.68 cm) or plain evaluation by hand.
"""

from __future__ import annotations

import pytest

from ringwise.growth.field import field_diameter_mm, field_keys, loglog_diameter_cm
from ringwise.kit.errors import RangeError, UnknownNameError
from ringwise.kit.tables import load_table


@pytest.mark.parametrize(
    ("key", "age", "cm"),
    [
        ("zelkova_serrata:NoEast", 60, 81.628),
        ("celtis_occidentalis:LoMidW", 70, 82.114),
        ("acer_palmatum:NoCalC", 10, 7.387),
        ("carpinus_betulus:PacfNW", 2, 3.001),
    ],
)
def test_diameter_from_age(key: str, age: int, cm: float) -> None:
    assert field_diameter_mm(key, age) / 10 == pytest.approx(cm, abs=0.002)


def test_log_log_form() -> None:
    table = load_table("ringwise.growth", "field_growth")
    a, b, mse = (table.get("any:loglog", name).number for name in ("a", "b", "mse"))
    assert loglog_diameter_cm(1, a_ratio=a, b_ratio=b, mse_ratio=mse) == pytest.approx(1.678, abs=0.002)


def test_ten_years_of_every_species_as_printed() -> None:
    ten = {
        "acer_palmatum:NoCalC": 7.39, "acer_platanoides:NoEast": 14.78, "acer_rubrum:NoEast": 13.71,
        "celtis_sinensis:InlVal": 22.28, "celtis_occidentalis:LoMidW": 14.16,
        "celtis_occidentalis:MidWst": 19.80, "ulmus_parvifolia:SWDsrt": 12.74,
        "ulmus_parvifolia:SacVal": 20.52, "ulmus_pumila:LoMidW": 21.93, "zelkova_serrata:NoEast": 15.42,
        "carpinus_betulus:PacfNW": 15.88, "fagus_sylvatica:PacfNW": 22.43, "ginkgo_biloba:NoEast": 12.56,
        "prunus_cerasifera:NoCalC": 9.41, "malus:NoEast": 10.30, "crataegus_laevigata:PacfNW": 9.63,
        "tilia_cordata:NoEast": 15.91, "quercus_rubra:NoEast": 12.01,
    }  # fmt: skip
    assert set(field_keys()) == set(ten)
    for key, cm in ten.items():
        assert field_diameter_mm(key, 10) / 10 == pytest.approx(cm, abs=0.0051), key


def test_bad_keys_and_ages_are_refused() -> None:
    with pytest.raises(UnknownNameError, match="Did you mean"):
        field_diameter_mm("zelkova_serata:NoEast", 3)
    with pytest.raises(RangeError):
        field_diameter_mm("zelkova_serrata:NoEast", -1)
