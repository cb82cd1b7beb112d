"""Links of a why in plain words: parameters, tables and parts of the program as a grower names them."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache

from ringwise.desk.entry_words import operation_words, stage_words
from ringwise.kit import show
from ringwise.kit.trace import Trace
from ringwise.kit.words import _, counted, from_data
from ringwise.records.taxa import ANY, all_taxa

_ROW = re.compile(r"row (\S+) of (\w+)(?:, (.*))?", re.DOTALL)
_STAGE = re.compile(r"\b(?:[0-9]{2}|H1|RA)\b")
_MODEL_STAGE = re.compile(r"(?<== )(?:[0-9]{2}|H1)$")
_GROUP = re.compile(r"G[1-9]")
_CODE = re.compile(r"[a-z]+(?:_[a-z]+)+")
_DAYS = re.compile(r"(-?[0-9]+(?:\.[0-9]+)?) days")
_UNITS = (
    (re.compile(r"(?<=\d) degC_days\b"), " °C·d"),
    (re.compile(r"(?<=\d) degC\b"), " °C"),
    (re.compile(r"(?<=\d) (?:frac|fraction|factor|ratio|index|count)$"), ""),
    (re.compile(r"(?<=\d) deg$"), "°"),
    (re.compile(r"\bmm2\b"), "mm²"),
    (re.compile(r"\bcm2\b"), "cm²"),
    (re.compile(r"\bmm3\b"), "mm³"),
)


def _parameters() -> dict[str, str]:
    """Names of parameters; one that is not listed has its underscores taken out."""
    return _of_stages() | _of_pots() | _of_growth()


def _of_stages() -> dict[str, str]:
    return {
        "chill_base": _("chill counts below"),
        "heat_base": _("warmth counts above"),
        "base": _("warmth counts above"),
        "start_day": _("counting starts"),
        "heat": _("warmth needed"),
        "a": _("warmth needed without chill"),
        "b": _("how chill lowers the warmth needed"),
        "c": _("how fast chill tells"),
        "force": _("warmth needed"),
        "half": _("temperature of half the full rate"),
        "slope": _("how steeply the rate rises"),
        "threshold": _("cool below"),
        "window": _("days in a run"),
        "run": _("cool days in a run"),
        "tree_sd": _("spread between trees of one kind"),
        "site_sd": _("spread between places"),
        "season_sd": _("spread between seasons"),
        "group_sd": _("spread between kinds"),
        "transfer_sd": _("spread when carried to another kind"),
        "swell_to_leaf": _("from swelling buds to the first leaf"),
        "burst_to_full": _("from the first green to full leaves"),
        "full_to_hard": _("from full leaves to hard ones"),
        "hard_to_set": _("from hard leaves to the set of end buds"),
        "colour_to_fall": _("from colour to the first fall"),
        "fall_to_half": _("from the first fall to half down"),
        "half_to_bare": _("from half down to bare"),
        "flower_to_leaf": _("from the flower to the first leaf"),
        "chill": _("chill needed"),
        "chill_half": _("chill days at half their effect"),
        "chill_slope": _("how fast chill tells"),
        "day_reach": _("how far chill shifts the day length needed"),
        "day_slope": _("how steeply day length tells"),
    }


def _of_pots() -> dict[str, str]:
    return {
        "rim_drop_mm": _("soil below the rim"),
        "base_drop_mm": _("depth lost to the floor"),
        "taper_frac": _("share left by sloping walls"),
        "settle_factor": _("settling of the mix"),
        "waste_factor": _("waste in mixing"),
        "dome_factor": _("dome against the hollow"),
    }


def _of_growth() -> dict[str, str]:
    return {
        "pipe": _("wood behind each leaf area"),
        "area_exponent": _("how wood areas add up at a fork"),
        "pot_exponent": _("how growth rises with the pot"),
        "budget_units": _("units of growth in a budget"),
        "leaf_capacity": _("most leaf area"),
        "wood_budget": _("wood made by each leaf area"),
        "bud_arrangement": _("how buds stand"),
        "back_bud_class": _("how readily it buds back"),
        "apical_control": _("how much the top rules"),
        "repot_root_removed": _("roots taken in a repot"),
        "repot_interval": _("years between repots"),
        "root_vigour": _("vigour of roots"),
        "sapwood_life": _("years that wood carries water"),
        "unit_length": _("length of a unit of growth"),
        "layer_class": _("how readily it layers"),
        "graft_class": _("how readily it grafts"),
        "codit_class": _("how well it closes off wounds"),
        "field_rate": _("thickening in the field"),
    }


def _rooms() -> dict[str, str]:
    return {
        "record": _("the record"),
        "given": _("as given"),
        "season.window": _("windows of work"),
        "season.risk": _("what the weather may do after work"),
        "season.carry": _("carrying in"),
        "season.chances": _("days and chances of a window"),
        "rootzone.core": _("temperature of the pot's core"),
        "phenology.forecast": _("forecast of stages"),
        "phenology.models": _("model of stages"),
        "phenology.mixture": _("which models stand"),
        "phenology.taught": _("own seasons"),
        "phenology.skill": _("seasons left out in turn"),
        "phenology.offsets": _("the tree's own offset"),
        "phenology.seen": _("stages seen"),
        "weather.years": _("past weather years"),
        "weather.series": _("the weather record"),
        "weather.described": _("weather made from a description"),
        "desk.climate": _("the description of the climate"),
        "desk.weather_strip": _("the weather strip"),
        "desk.pot_curves": _("soil of the pot"),
        "rootzone.pot": _("shape of the pot"),
        "rootzone.litres": _("litres of mix"),
        "rootzone.mix": _("recipes"),
        "rootzone.dome": _("dome under the trunk"),
        "rootzone.surface": _("surface of the pot"),
        "rootzone.anchoring": _("ties"),
        "rootzone.lifting": _("weight to lift"),
        "rootzone.potting": _("potting"),
        "futures.simulate": _("lives of the tree, half-year by half-year"),
        "growth.girth_line": _("girth through the years"),
    } | _rooms_of_shape()


def _rooms_of_shape() -> dict[str, str]:
    return {
        "structure.measures": _("measures of the tree"),
        "structure.branching": _("branches of the tree"),
        "structure.trunk_profile": _("the trunk by height"),
        "structure.cut_plane": _("the trunk along its line"),
        "structure.spread": _("spread of measures"),
        "structure.basics": _("a tree from trunk and height alone"),
        "structure.faults": _("faults by rule"),
        "structure.standing": _("proportions of the trade"),
        "structure.wound_list": _("wounds of a trunk"),
    }


def _tables() -> dict[str, str]:
    return {
        "timing": _("timing of works"),
        "forcing": _("models of stages"),
        "variation": _("spread of stages"),
        "spacing": _("days between stages"),
        "cues": _("cues"),
        "risks": _("weather after work"),
        "frost_limits": _("frost limits"),
        "core": _("heat in the pot"),
        "heat": _("sun and wind on the pot"),
        "ageing": _("soil of years"),
        "calibrate": _("weighings"),
        "conflicts": _("works that collide"),
        "cross_rules": _("rules between works"),
        "potting": _("potting"),
        "mixes": _("mixes"),
        "parameters": _("growth"),
        "species": _("kinds of tree"),
        "odds": _("odds"),
        "wounds": _("wounds"),
        "field_growth": _("growth in the field"),
        "ring_year": _("growth over the year"),
        "measuring": _("how well things are read"),
        "faults": _("faults by rule"),
        "proportions": _("proportions of the trade"),
    }


def _models() -> dict[str, str]:
    return {
        "thermal_time": _("warmth sum"),
        "menzel": _("warmth and chill sum"),
        "uniforc": _("smooth warmth sum"),
        "chill_exponential": _("warmth sum lowered by chill"),
        "unichill": _("chill, then warmth"),
        "unichill_threshold": _("cold days, then warmth"),
        "photoperiod_chill": _("day length, chill and warmth"),
        "phenoflex": _("chill and warmth by the hour"),
        "delpierre": _("short and cool days"),
        "cool_run": _("run of cool days"),
        "budbreak": _("budbreak"),
        "leaf_unfolding": _("leaf unfolding"),
        "bud_swelling": _("bud swelling"),
        "half_fall": _("half the leaves down"),
        "flowering": _("flowering"),
        "flower_budbreak": _("budbreak of flowers"),
    }


@lru_cache(maxsize=1)
def _name() -> re.Pattern[str]:
    return re.compile(r"^[a-z][A-Za-z0-9]*(?:[_.][A-Za-z0-9]+)+$|^[a-z]+$")


def parameter_words(name: str) -> str:
    """The name of a parameter in words; a text that is no name is left as it is.

    Parameters
    ----------
    name : str
        Such as "thermal_time.budbreak.heat".

    Returns
    -------
    str
        In the reader's language where it is known.

    Examples
    --------
    >>> parameter_words("thermal_time.budbreak.heat"), parameter_words("pot holds")
    ('warmth sum, budbreak: warmth needed', 'pot holds')
    """
    if not _name().fullmatch(name):
        return name
    *model, last = name.split(".")
    known = _parameters()
    if not model and last not in known:
        return from_data(last.replace("_", " "))
    told = known.get(last, last.replace("_", " "))
    if not model:
        return told
    models = _models()
    return ", ".join(models.get(part, part.replace("_", " ")) for part in model) + f": {told}"


def room_words(room: str) -> str:
    """Where a number was made, in words.

    Parameters
    ----------
    room : str
        A part of the program, or the row of a table.

    Returns
    -------
    str
        In the reader's language.

    Examples
    --------
    >>> room_words("phenology.forecast"), room_words("row any.tree_sd of variation, trees 1990-2001")
    ('forecast of stages', 'table "spread of stages", row of any kind of tree, trees 1990-2001')
    """
    row = _ROW.fullmatch(room)
    if row is None:
        rooms = _rooms()
        return rooms.get(room) or room.replace(".", ": ").replace("_", " ")
    table = _tables().get(row[2]) or row[2].replace("_", " ")
    told = [_('table "{table}"').format(table=table), _whose(row[1]), row[3]]
    return ", ".join(part for part in told if part)


def _whose(row: str) -> str:
    """The kind of tree that a row is about; blank where its name says none."""
    for part in row.split("."):
        if part == ANY:
            return _("row of any kind of tree")
        if _GROUP.fullmatch(part):
            return _("row of group {group}").format(group=part)
        if part in all_taxa():
            return _("row of {kind}").format(kind=all_taxa()[part].botanical_name)
    return ""


def _unit_words(value: str) -> str:
    if _CODE.fullmatch(value):
        return from_data(value.replace("_", " "))
    days = _DAYS.fullmatch(value)
    if days is not None:
        number = float(days[1])
        if number == 1:
            return counted("{n} day", "{n} days", 1)
        return _("{n} days").format(n=show.number(number))
    for pattern, words in _UNITS:
        value = pattern.sub(words, value)
    return value


_NAMED = frozenset({"menzel", "uniforc", "unichill", "phenoflex", "delpierre"})


def _formula_words(formula: str) -> str:
    """Names of models in a formula, in words."""
    for name, words in _models().items():
        if "_" in name or name in _NAMED:
            formula = re.sub(rf"\b{name}\b", words, formula)
    return formula


def _basis_words(basis: str) -> str:
    known = {
        "practice": _("common practice"),
        "assumed": _("assumed"),
        "transferred": _("carried over"),
        "fitted": _("fitted to records"),
        "measured": _("measured"),
    }
    return known.get(basis) or from_data(basis)


def _stages_told(link: Trace, group: str) -> Trace:
    """A link with stages as they look on the tree, instead of their codes."""

    def told(found: re.Match[str]) -> str:
        return f'"{stage_words(found[0], group)}"'

    room = _ROW.fullmatch(link.room)
    if room is not None and room[2] == "timing":
        label = _("timing of {operation}").format(operation=operation_words(room[1].split(".")[0]))
        return replace(link, label=label, value=_STAGE.sub(told, link.value))
    if link.room == "season.window":
        return replace(link, formula=_STAGE.sub(told, link.formula))
    if link.room == "phenology.seen":
        return replace(link, label=_STAGE.sub(told, link.label))
    return replace(link, formula=_MODEL_STAGE.sub(told, link.formula))


def plain_link(link: Trace, group: str = "") -> Trace:
    """A link in plain words, without what it stands on.

    Parameters
    ----------
    link : Trace
        Of a chain.
    group : str
        Of the tree that the chain is about; blank where there is none.

    Returns
    -------
    Trace
        For people; programs read the link itself.

    Examples
    --------
    >>> link = plain_link(Trace("tree_sd", "2.8 days", "row any.tree_sd of variation", basis="transferred"))
    >>> link.label, link.room
    ('spread between trees of one kind', 'table "spread of stages", row of any kind of tree')
    """
    link = _stages_told(link, group)
    return replace(
        link,
        label=_formula_words(parameter_words(link.label)),
        value=_unit_words(link.value),
        room=room_words(link.room) if link.room else "",
        formula=_formula_words(link.formula),
        basis=_basis_words(link.basis),
        inputs=(),
    )
