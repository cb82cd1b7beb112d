"""Parameters: fall-backs by genus, group and any; draws that depend on the future alone; provenance."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringwise.growth import layout as at
from ringwise.growth.biology import biology, codit_decay_years, root_recovery_years, spread_of
from ringwise.growth.calibration import VigourPosterior, vigour_posterior
from ringwise.growth.draws import DRAWN_NAMES, Block, draw_parameters
from ringwise.growth.odds import Odds, odds_quantile, prior_odds, shifted_prob, take_after_signs, updated
from ringwise.growth.start import Condition
from ringwise.kit.errors import RangeError, UnknownNameError
from ringwise.kit.tables import load_table
from ringwise.records.taxa import lookup_keys

TAXA = (
    "morus_alba",
    "acer_palmatum",
    "celtis_sinensis",
    "fagus_crenata",
    "pinus_thunbergii",
    "olea_europaea",
)


@pytest.mark.parametrize("taxon", TAXA)
def test_every_taxon_finds_its_parameters(taxon: str) -> None:
    life = biology(lookup_keys(taxon))
    assert life.layer_class in {"easy", "medium", "hard"}
    assert life.sapwood.middle >= 1
    assert life.rows
    assert all(row.source for row in life.rows)


def test_a_taxon_without_rows_is_marked_as_assumed() -> None:
    life = biology(("nowhere_to_be_found",))
    assert {row.key for row in life.rows} == {"any"}
    assert life.assumed == life.rows


def test_nearer_keys_win() -> None:
    assert biology(("zelkova_serrata", "any")).root_removed_frac == 0.4
    assert biology(("acer_buergerianum", "acer")).root_removed_frac == 0.5
    assert biology(("acer_unknown", "acer")).root_removed_frac == 0.4


def test_ring_porous_wood_carries_water_for_fewer_years() -> None:
    assert biology(("morus_alba", "morus")).sapwood.middle < biology(("acer_palmatum",)).sapwood.middle


def test_a_future_draws_the_same_whatever_block_it_is_in() -> None:
    life = biology(("morus_alba", "morus"))
    whole = draw_parameters(life, Block(11, 0, 50))
    parts = np.vstack([draw_parameters(life, Block(11, first, 10)) for first in range(0, 50, 10)])
    np.testing.assert_array_equal(whole, parts)
    assert not np.array_equal(whole, draw_parameters(life, Block(12, 0, 50)))


def test_draws_have_the_middles_and_spreads_of_their_rows() -> None:
    life = biology(("acer_palmatum", "acer"))
    drawn = draw_parameters(life, Block(1, 0, 4000))
    table = load_table("ringwise.growth", "parameters")
    pipe = np.log(drawn[:, at.P_PIPE])
    assert pipe.mean() == pytest.approx(math.log(0.02), abs=0.03)
    assert pipe.std() == pytest.approx(0.5, abs=0.03)
    pot = spread_of(table.get("any", "pot_exponent"))
    assert drawn[:, at.P_POT].mean() == pytest.approx(pot.middle, abs=0.01)
    assert drawn[:, at.P_POT].std() == pytest.approx(0.15, abs=0.01)
    assert drawn[:, at.P_EXPONENT].min() >= 1.8
    assert drawn[:, at.P_EXPONENT].max() <= 2.3
    assert drawn[:, at.P_LAYER].mean() == pytest.approx(life.layer.mean_prob, abs=0.01)
    assert drawn[:, at.P_VIGOUR].std() == pytest.approx(0.35, abs=0.02)


def test_inputs_are_drawn_independently() -> None:
    drawn = draw_parameters(biology(("acer_palmatum", "acer")), Block(1, 0, 4000))[:, list(DRAWN_NAMES)]
    correlation = np.corrcoef(drawn.T) - np.eye(len(DRAWN_NAMES))
    assert np.abs(correlation).max() < 0.07


def test_the_trees_own_vigour_replaces_the_prior() -> None:
    life = biology(("acer_palmatum", "acer"))
    drawn = draw_parameters(life, Block(1, 0, 2000), VigourPosterior(-0.3, 0.08, 5))[:, at.P_VIGOUR]
    assert drawn.mean() == pytest.approx(-0.3, abs=0.01)
    assert drawn.std() == pytest.approx(0.08, abs=0.01)


def test_few_own_girths_are_mostly_prior() -> None:
    assert vigour_posterior(np.array([1.2, 1.1])).mostly_prior
    nothing = vigour_posterior(np.empty(0))
    assert (nothing.mean_log, nothing.sd_log) == (0.0, pytest.approx(0.35))
    with pytest.raises(RangeError):
        vigour_posterior(np.array([0.9, 0.0]))


def test_published_counts_weigh_no_more_than_ten_tries() -> None:
    capped = prior_odds("severed_survival")
    assert capped.successes_n + capped.failures_n == pytest.approx(10.0)
    assert capped.mean_prob == pytest.approx(9 / 10.5)
    with pytest.raises(UnknownNameError, match="layer_easy"):
        prior_odds("layer_eazy")


def test_odds_move_with_own_tries_and_shift_on_the_logit() -> None:
    assert updated(Odds(2, 2), successes=0, failures=0) == Odds(2, 2)
    with pytest.raises(RangeError):
        updated(Odds(2, 2), successes=-1, failures=0)
    # olive with IBA: 47.07 to 72.00 %, an odds ratio of 2.89, which is 1.06 on the logit
    assert shifted_prob(np.array([0.4707]), 1.06)[0] == pytest.approx(0.72, abs=0.005)
    uniform = odds_quantile(Odds(1, 1), np.linspace(0.05, 0.95, 7))
    np.testing.assert_allclose(uniform, np.linspace(0.05, 0.95, 7), atol=1e-6)
    assert take_after_signs(0.5, (False, False, False)) == take_after_signs(0.5, (False, False))


@pytest.mark.parametrize(
    "bad",
    [
        {"volume_l": -1.0},
        {"volume_l": 5.0, "vigour": 6},
        {"volume_l": 5.0, "since_repot_years": -1.0},
        {"volume_l": 5.0, "sectors": (True,)},
        {"volume_l": math.nan},
    ],
)
def test_conditions_out_of_range_are_refused(bad: dict[str, object]) -> None:
    with pytest.raises(RangeError):
        Condition(**bad)  # type: ignore[arg-type]


def test_classes_have_their_numbers() -> None:
    assert codit_decay_years("weak") < codit_decay_years("strong")
    assert root_recovery_years(5) == 0.5
    assert root_recovery_years(1) == 1.5
    with pytest.raises(UnknownNameError):
        codit_decay_years("none")
