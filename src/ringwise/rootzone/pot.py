"""The inside of a pot as geometry: plan shapes, sloping walls, the height that substrate fills.

The area at a height z above the floor of the fill is a quadratic, A(z) = c0 + c1 z + c2 z^2, for every pot
whose walls are straight lines from floor to rim. Volume, and later water by height, follow in closed form.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from ringwise.kit.errors import InputError, MissingFieldError, out_of_range, unknown_name
from ringwise.kit.show import dimensions, number, spanned
from ringwise.kit.tables import load_table
from ringwise.kit.words import _

MM3_PER_CM3 = 1000.0  # exact

# Area of each plan shape as a multiple of length times width; exact geometry. A hexagon and an octagon are
# measured across flats, so that length and width are both that distance.
AREA_FACTOR = {
    "prism": 1.0,
    "rectangle": 1.0,
    "oval": math.pi / 4,
    "round": math.pi / 4,
    "hexagon": math.sqrt(3) / 2,
    "octagon": 2 * (math.sqrt(2) - 1),
}
SHAPES = tuple(AREA_FACTOR)
ALIASES = {"rect": "rectangle", "ellipse": "oval", "circle": "round", "square": "rectangle"}
ONE_LENGTH = frozenset({"round", "hexagon", "octagon"})  # these have one measure in plan
PRISM_SIDE_MM = 10.0  # a prism without a plan stands for one square centimetre of any straight-walled pot


@dataclass(frozen=True)
class Fill:
    """How far the substrate stays below the rim and above the floor, and a factor for unmeasured slopes."""

    rim_drop_mm: float = 0.0
    base_drop_mm: float = 0.0
    taper_frac: float = 1.0


@dataclass(frozen=True)
class PotLengths:
    """Inside measures as given: either length, width and depth, or top and bottom sizes and depth."""

    length_mm: float | None = None
    width_mm: float | None = None
    depth_mm: float | None = None
    top_mm: tuple[float, ...] = ()
    bottom_mm: tuple[float, ...] = ()


@dataclass(frozen=True)
class PotShape:
    """The inside of a pot: sizes at the rim, sizes at the floor where walls slope, and the fill within."""

    shape: str
    length_mm: float
    width_mm: float
    depth_mm: float
    rim_drop_mm: float = 0.0
    base_drop_mm: float = 0.0
    taper_frac: float = 1.0
    bottom_length_mm: float | None = None
    bottom_width_mm: float | None = None

    @property
    def slopes(self) -> bool:
        """Whether sizes at the floor were given."""
        return self.bottom_length_mm is not None

    @property
    def fill_height_mm(self) -> float:
        """Height of substrate between its floor and its surface."""
        return self.depth_mm - self.rim_drop_mm - self.base_drop_mm

    @property
    def shorter_side_mm(self) -> float:
        """The smaller inside measure at the rim."""
        return min(self.length_mm, self.width_mm)

    @property
    def area_mm2(self) -> float:
        """Plan area at the rim, without the taper factor."""
        return AREA_FACTOR[self.shape] * self.length_mm * self.width_mm

    @property
    def coefficients(self) -> tuple[float, float, float]:
        """c0 in mm2, c1 in mm and c2 (no unit) of A(z), with z in mm from the floor of the fill."""
        k = AREA_FACTOR[self.shape] * self.taper_frac
        length_mm, length_slope = _wall(self.bottom_length_mm, self.length_mm, self)
        width_mm, width_slope = _wall(self.bottom_width_mm, self.width_mm, self)
        return (
            k * length_mm * width_mm,
            k * (length_mm * width_slope + width_mm * length_slope),
            k * length_slope * width_slope,
        )

    def area_at_mm2(self, z_mm: float) -> float:
        """Area of the fill at a height above its floor."""
        c0, c1, c2 = self.coefficients
        return c0 + c1 * z_mm + c2 * z_mm**2

    @property
    def volume_cm3(self) -> float:
        """Volume that substrate fills: the exact integral of A(z) over the height of the fill."""
        c0, c1, c2 = self.coefficients
        h = self.fill_height_mm
        return (c0 * h + c1 * h**2 / 2 + c2 * h**3 / 3) / MM3_PER_CM3

    def filled(self, fill: Fill) -> PotShape:
        """The same pot with another fill, checked."""
        return _checked(
            replace(
                self,
                rim_drop_mm=fill.rim_drop_mm,
                base_drop_mm=fill.base_drop_mm,
                taper_frac=fill.taper_frac,
            )
        )


def _wall(bottom_mm: float | None, top_mm: float, pot: PotShape) -> tuple[float, float]:
    """Size at the floor of the fill, and growth per mm of height, of one side of the plan."""
    if bottom_mm is None:
        return top_mm, 0.0
    slope = (top_mm - bottom_mm) / pot.depth_mm
    return bottom_mm + slope * pot.base_drop_mm, slope


def practice_fill(pot: PotShape) -> Fill:
    """The trade's allowances: below the rim, above the floor, and for walls whose slope was not measured.

    Parameters
    ----------
    pot : PotShape
        The pot; where its floor was measured, no factor for taper is due.

    Returns
    -------
    Fill
        From the rows of `data/potting.csv`.

    Source
    ------
    practice: substrate ends 5 to 8 mm below the lowest rim; floor and taper allowances.

    Examples
    --------
    >>> tray = pot_shape("oval", PotLengths(500, 370, 80))
    >>> round(tray.filled(practice_fill(tray)).volume_cm3)
    9357
    """
    rows = load_table("ringwise.rootzone", "potting").of("fill")
    taper_frac = 1.0 if pot.slopes else rows["taper_frac"].number
    return Fill(rows["rim_drop_mm"].number, rows["base_drop_mm"].number, taper_frac)


def shape_word(word: str) -> str:
    """The plan shape that a word stands for.

    Parameters
    ----------
    word : str
        As typed, such as "rect" or "Oval".

    Returns
    -------
    str
        One of `SHAPES`.

    Raises
    ------
    UnknownNameError
        If no shape has that name.

    Source
    ------
    own: names of plane figures.

    Examples
    --------
    >>> shape_word("Rect")
    'rectangle'
    """
    folded = word.strip().casefold()
    shape = ALIASES.get(folded, folded)
    if shape not in AREA_FACTOR:
        raise unknown_name(_("pot shape"), word, [*SHAPES, *ALIASES])
    return shape


def pot_shape(word: str, lengths: PotLengths, fill: Fill | None = None) -> PotShape:
    """A pot from a shape word and its inside measures, all checked.

    Parameters
    ----------
    word : str
        prism, rectangle, oval, round, hexagon, octagon or an alias such as rect.
    lengths : PotLengths
        Length and width (diameter, or width across flats, as length alone) or top and bottom; and the depth.
    fill : Fill, optional
        Allowances; none by default, so that the volume is the geometric one.

    Returns
    -------
    PotShape
        The pot.

    Raises
    ------
    UnknownNameError
        If the shape is unknown.
    MissingFieldError
        If a measure is missing.
    RangeError
        If a measure lies outside its bounds.

    Source
    ------
    own: plane and solid geometry.

    Examples
    --------
    >>> round(pot_shape("oval", PotLengths(500, 370, 80)).volume_cm3, 1)
    11623.9
    >>> pot_shape("rect", PotLengths(300, 200, -30))
    Traceback (most recent call last):
    ...
    ringwise.kit.errors.RangeError: pot depth is -3 cm; accepted: 0.5 to 200 cm.
    """
    shape = shape_word(word)
    if lengths.depth_mm is None:
        raise MissingFieldError(_("pot depth is missing. Give the inside depth, such as 8 cm."))
    rim = _pair(shape, lengths.top_mm or _given(lengths), _("top"))
    floor = _pair(shape, lengths.bottom_mm, _("bottom")) if lengths.bottom_mm else (None, None)
    allow = fill or Fill()
    return _checked(
        PotShape(
            shape,
            *rim,
            lengths.depth_mm,
            allow.rim_drop_mm,
            allow.base_drop_mm,
            allow.taper_frac,
            *floor,
        )
    )


def _given(lengths: PotLengths) -> tuple[float, ...]:
    return tuple(value for value in (lengths.length_mm, lengths.width_mm) if value is not None)


def _pair(shape: str, sizes: tuple[float, ...], where: str) -> tuple[float, float]:
    """Length and width from one or two measures, as the shape needs them."""
    if shape == "prism" and not sizes:
        return PRISM_SIDE_MM, PRISM_SIDE_MM
    if not sizes:
        raise MissingFieldError(_("pot {where} size is missing. Give its inside length.").format(where=where))
    if len(sizes) > 2:
        raise InputError(
            _("pot {where} size has {n} lengths; give one or two.").format(where=where, n=len(sizes))
        )
    if shape in ONE_LENGTH:
        if sizes[0] != sizes[-1]:
            raise InputError(
                _(
                    "pots that are {shape} have one width, but {a} and {b} were given. Use oval or rectangle."
                ).format(shape=shape, a=_cm(sizes[0]), b=_cm(sizes[-1]))
            )
        return sizes[0], sizes[0]
    if len(sizes) == 1 and shape == "oval":
        raise MissingFieldError(_("pot width is missing. An oval pot has a length and a width."))
    return sizes[0], sizes[-1]


def _cm(value_mm: float) -> str:
    return dimensions((value_mm,))


def _checked(pot: PotShape) -> PotShape:
    """The pot itself, if every measure lies in its bounds."""
    bounds = load_table("ringwise.rootzone", "potting")
    for field, parameter, value in (
        (_("pot length"), "length_mm", pot.length_mm),
        (_("pot width"), "width_mm", pot.width_mm),
        (_("pot depth"), "depth_mm", pot.depth_mm),
        (_("pot bottom length"), "length_mm", pot.bottom_length_mm),
        (_("pot bottom width"), "width_mm", pot.bottom_width_mm),
    ):
        row = bounds.get("accepted", parameter)
        low, high = row.low or 0.0, row.high or math.inf
        if value is not None and not low <= value <= high:
            raise out_of_range(field, _cm(value), spanned(_cm(low), _cm(high)))
    _check_fill(pot)
    return pot


def _check_fill(pot: PotShape) -> None:
    for field, drop in ((_("rim drop"), pot.rim_drop_mm), (_("base drop"), pot.base_drop_mm)):
        if not 0 <= drop < pot.depth_mm:
            raise out_of_range(field, _cm(drop), _("0 to less than the pot depth"))
    if pot.fill_height_mm <= 0:
        raise out_of_range(
            _("rim drop and base drop together"),
            _cm(pot.rim_drop_mm + pot.base_drop_mm),
            _("less than the pot depth of {depth}").format(depth=_cm(pot.depth_mm)),
        )
    row = load_table("ringwise.rootzone", "potting").get("accepted", "taper_frac")
    low, high = row.low or 0.0, row.high or 1.0
    if not low <= pot.taper_frac <= high:
        raise out_of_range(
            _("taper factor"),
            number(pot.taper_frac, 3),
            _("{low} to {high}").format(low=number(low, 2), high=number(high, 2)),
        )
    if pot.slopes and pot.taper_frac != 1.0:
        raise InputError(
            _("taper factor and bottom size were both given. Give one: the bottom size is the better.")
        )
