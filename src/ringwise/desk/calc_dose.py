"""Wishes for feed, salts and hard water: arithmetic on a label, and whether a tree may be fed at all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.kit.errors import MissingFieldError
from ringwise.kit.show import litres, mass, number, spanned
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _
from ringwise.rootzone import feed, feed_words

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace

CM3_PER_L = 1000.0
PCT_PER_FRAC = 100.0


@dataclass(frozen=True)
class DoseWish:
    """A feed and a water as typed for `ringwise calc dose`."""

    n: str | None = None
    p2o5: str | None = None
    k2o: str | None = None
    dose: str | None = None
    want: str | None = None
    water: str | None = None
    deficit: str | None = None
    leach: str | None = None
    ec_in: str | None = None
    ec_out: str | None = None
    feeding: str = "liquid"
    pot: str | None = None
    alkalinity: str | None = None
    target: str | None = None
    tree: str | None = None


def calc_dose(wish: DoseWish, workspace: Workspace | None = None) -> Shape:
    """What a feed brings, what runs out, what hard water needs; and whether a tree may be fed.

    Parameters
    ----------
    wish : DoseWish
        As typed.
    workspace : Workspace, optional
        The collection, where a tree is named.

    Returns
    -------
    Shape
        Only the keys that what was given allows.

    Raises
    ------
    MissingFieldError
        If nothing can be worked out from what was given.
    """
    answer: Shape = {}
    lines: list[str] = []
    barred = _tree(answer, lines, wish, workspace)
    _water(answer, lines, wish)
    _strength(answer, lines, wish, barred=barred)
    _salts(answer, lines, wish)
    _alkalinity(answer, lines, wish)
    if not answer:
        raise MissingFieldError(
            _(
                "nothing to work out. Give --n with --dose or --want, or --deficit, --ec-in, --alkalinity "
                "or --tree."
            )
        )
    if answer.get("dose_g_l"):
        lines.append(_("The label comes first: never above its dose, nor on dry soil."))
    return answer | {"lines": lines}


def _tree(answer: Shape, lines: list[str], wish: DoseWish, workspace: Workspace | None) -> bool:
    """Whether the tree gets no feed at all."""
    if wish.tree is None or workspace is None:
        return False
    from ringwise.season.feeding import feed_holds

    facts = workspace.facts_of(wish.tree)
    holds = feed_holds(facts, today=workspace.today)
    answer |= {"tree": facts.tree.id, "may_feed": not holds, "holds": [hold.words for hold in holds]}
    if not holds:
        lines.append(_("{tree}: nothing known keeps feed from it").format(tree=facts.tree.id))
        return False
    answer |= {"dose_g_l": 0.0, "n_ppm": 0.0}
    lines.append(_("{tree}: no feed of any kind, also none in the mix").format(tree=facts.tree.id))
    lines += [f"  {hold.words}" for hold in holds]
    return True


def _share_pct(text: str | None, field: str) -> float:
    if text is None:
        return 0.0
    value_pct = parse_quantity(text, "percent", field=field)
    hint = _("Write the percent of the label, such as {field} 20%.").format(field=field)
    return feed.accepted("share_pct", value_pct, field=field, shown=text, unit="%", hint=hint)


def _strength(answer: Shape, lines: list[str], wish: DoseWish, *, barred: bool) -> None:
    if barred or (wish.dose is None and wish.want is None):
        return
    if wish.n is None and wish.p2o5 is None and wish.k2o is None:
        raise MissingFieldError(_("--n is missing. Give the percent of nitrogen on the label, such as 20%."))
    label = feed.Label(
        _share_pct(wish.n, "--n"), _share_pct(wish.p2o5, "--p2o5"), _share_pct(wish.k2o, "--k2o")
    )
    dose_g_l = _dose_g_l(wish, label)
    held = feed.nutrients(label, dose_g_l)
    answer |= {
        "dose_g_l": dose_g_l,
        "n_ppm": held.n_mg_l,
        "p_ppm": held.p_mg_l,
        "k_ppm": held.k_mg_l,
    }
    lines.append(
        _("{dose} g of feed in a litre: {n} ppm N, {p} ppm P, {k} ppm K").format(
            dose=number(dose_g_l, 3),
            n=number(held.n_mg_l, 3),
            p=number(held.p_mg_l, 3),
            k=number(held.k_mg_l, 3),
        )
    )
    poured_cm3 = (answer.get("applied_l") or answer.get("water_l") or 0.0) * CM3_PER_L
    if poured_cm3:
        kept_l = answer.get("deficit_l", poured_cm3 / CM3_PER_L)
        answer |= {"dose_g": dose_g_l * poured_cm3 / CM3_PER_L, "n_mg": held.n_mg_l * kept_l}
        lines.append(
            _("for {water}: {dose} of feed; the pot keeps {n} mg N").format(
                water=litres(poured_cm3, 2), dose=mass(answer["dose_g"], 3), n=number(answer["n_mg"], 3)
            )
        )


def _dose_g_l(wish: DoseWish, label: feed.Label) -> float:
    if wish.dose is not None:
        given = parse_quantity(wish.dose, "concentration", field="--dose")
        return feed.accepted("dose_g_l", given, field="--dose", shown=wish.dose, unit="g/L")
    text = wish.want or ""
    want_ppm = parse_quantity(text, "alkalinity", field="--want")
    feed.accepted("want_ppm", want_ppm, field="--want", shown=text, unit="ppm")
    return feed.dose_g_l(label, want_ppm)


def _leached_frac(wish: DoseWish) -> float | None:
    if wish.leach is None:
        return None
    value = parse_quantity(wish.leach, "fraction", field="--leach")
    return feed.checked_fraction(value, field="--leach", shown=wish.leach)


def _volume_cm3(text: str, field: str) -> float:
    value = parse_quantity(text, "volume", field=field, default_unit="L")
    return feed.accepted("water_cm3", value, field=field, shown=text, unit="cm3")


def _water(answer: Shape, lines: list[str], wish: DoseWish) -> None:
    if wish.deficit is not None:
        poured = feed.watering(_volume_cm3(wish.deficit, "--deficit"), _leached_frac(wish))
        answer |= {
            "deficit_l": (poured.applied_cm3 - poured.leached_cm3) / CM3_PER_L,
            "applied_l": poured.applied_cm3 / CM3_PER_L,
            "leached_l": poured.leached_cm3 / CM3_PER_L,
        }
        lines.append(feed_words.poured_words(poured))
    elif wish.water is not None:
        answer["water_l"] = _volume_cm3(wish.water, "--water") / CM3_PER_L


def _ec_ms_cm(text: str, field: str) -> float:
    value = parse_quantity(text, "conductivity", field=field)
    return feed.accepted("ec_ms_cm", value, field=field, shown=text, unit="mS/cm")


def _salts(answer: Shape, lines: list[str], wish: DoseWish) -> None:
    if wish.ec_in is not None:
        leachate_ms_cm = feed.steady_leachate_ms_cm(_ec_ms_cm(wish.ec_in, "--ec-in"), _leached_frac(wish))
        answer["leachate_ec_ms_cm"] = leachate_ms_cm
        lines.append(
            _("what runs out would come to {ec} mS/cm at most, if the tree took up none").format(
                ec=number(leachate_ms_cm, 3)
            )
        )
    if wish.pot is not None:
        draw = feed.pour_through(_volume_cm3(wish.pot, "--pot"))
        answer |= {"pour_l": draw.pour_cm3 / CM3_PER_L, "collect_l": draw.collect_cm3 / CM3_PER_L}
        lines.append(
            _("sample: water to capacity, wait {wait}, pour {pour} slowly, catch {catch}").format(
                wait=spanned(f"{number(draw.wait_low_min)} min", f"{number(draw.wait_high_min, 3)} min"),
                pour=litres(draw.pour_cm3, 2),
                catch=litres(draw.collect_cm3, 2),
            )
            + ("" if draw.is_printed_pot else _("; scaled from a pot of 4 L"))
        )
    if wish.ec_out is not None:
        ec_ms_cm = _ec_ms_cm(wish.ec_out, "--ec-out")
        answer["ec_ms_cm"] = ec_ms_cm
        lines.append(feed_words.salts_words(ec_ms_cm, wish.feeding))


def _ppm(text: str, field: str) -> float:
    value = parse_quantity(text, "alkalinity", field=field)
    return feed.accepted("alkalinity_ppm", value, field=field, shown=text, unit="ppm")


def _alkalinity(answer: Shape, lines: list[str], wish: DoseWish) -> None:
    if wish.alkalinity is None:
        return
    given_ppm = _ppm(wish.alkalinity, "--alkalinity")
    answer["alkalinity_ppm"] = given_ppm
    lines.append(_("alkalinity {n} ppm as calcium carbonate").format(n=number(given_ppm, 4)))
    lines.append("  " + feed_words.alkalinity_words(given_ppm))
    if wish.target is None:
        return
    need = feed.acid(given_ppm, _ppm(wish.target, "--to"))
    answer |= {
        "acid_meq_l": need.meq_l,
        "h2so4_mg_l": need.sulphuric_mg_l,
        "acid_ml_per_1000_l": need.ml_per_1000_l,
    }
    lines.append(
        _("acid {meq} meq/L: {mg} mg/L sulphuric acid, {ml} mL of 93 % for 1000 L").format(
            meq=number(need.meq_l, 3), mg=number(need.sulphuric_mg_l, 4), ml=number(need.ml_per_1000_l, 3)
        )
    )
    lines.append(
        _(
            "Strong acid blinds and burns: only what is sold for irrigation and allowed where you are, by "
            "its own label, goggles and gloves, acid into water, never water into acid; test the pH before "
            "use. Rain water asks for none of it."
        )
    )
