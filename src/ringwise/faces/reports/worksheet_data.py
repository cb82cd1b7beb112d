"""A worksheet as plain JSON values for its template: texts, labels and the numbers of the drawing."""

from __future__ import annotations

import math
from typing import TypeAlias

from ringwise.kit.reading import current_reading
from ringwise.kit.show import day, dimensions, length
from ringwise.kit.words import _, counted
from ringwise.season.worksheet_content import Figure, PotDrawing, Worksheet

Json: TypeAlias = "str | float | bool | list[Json] | dict[str, Json] | None"
BIG_FIGURES = ("gross", "dome", "top_dressing")  # printed large; the others follow in a line
CORNERS = {"hexagon": 6, "octagon": 8}


def labels() -> dict[str, Json]:
    """The template's own words, in the user's language."""
    return {
        "before": _("Before the tree comes out"),
        "steps": _("Steps"),
        "clock": _("copper bar: roots are bare and the clock runs"),
        "found": _("If you find"),
        "last": _("Last time"),
        "place": _("Where it sits"),
        "closes": _("What this closes"),
        "cautions": _("Take care"),
        "checks": _("Before you put it back"),
        "after": _("Afterwards"),
        "until": _("until"),
        "record": _("Write down"),
        "roots": _("tools for roots"),
        "branches": _("tools for branches, kept apart"),
        "materials": _("materials"),
        "rules": _("Product labels and local rules come before this sheet."),
        "plan_note": _("to scale: from above, front at 6; cut from left to right"),
        "substrate": _("new mix"),
        "wire": _("tie wire"),
        "front": _("front"),
        "dressing": _("dressing"),
        "ball": _("kept ball"),
        "dome": _("dome"),
        "domes": _("found another hollow (width x depth)? its dome:"),
        "judge": _("Judged by"),
        "day": _("day"),
        "from": _("from"),
        "to": _("to"),
        "by": _("by"),
        "confirmed": _("confirmed by"),
        "surprise": _("what surprised you"),
    }


def worksheet_data(sheet: Worksheet) -> dict[str, Json]:
    """The sheet for its template: no markup, only texts and numbers."""
    return {
        "labels": labels(),
        "lang": current_reading().language,
        "title": f"{sheet.operation}: {sheet.name}",
        "tree": sheet.tree,
        "name": sheet.name,
        "species": sheet.species,
        "operation": sheet.operation,
        "made": day(sheet.made_on, year=True),
        "facts": list(sheet.facts),
        "why": _why(sheet),
        "ready": _ready(sheet),
        "tools": _tools(sheet),
        "last": list(sheet.last_time),
        "place": list(sheet.position),
        "steps": [{"text": step.text, "critical": step.critical} for step in sheet.steps],
        "found": [{"what": _capital(found.what), "do": list(found.do)} for found in sheet.found],
        "closes": [{"question": each.question, "effects": list(each.effects)} for each in sheet.closes],
        "cautions": [caution.text for caution in sheet.cautions],
        "strip": _strip(sheet),
        "checks": list(sheet.checks),
        "after": [
            {
                "title": phase.title,
                "duties": [{"do": duty.do, "ends": duty.ends} for duty in phase.duties],
            }
            for phase in sheet.aftercare
        ],
        "judge": sheet.judge,
        "record": list(sheet.record),
        "drawing": None if sheet.ready.drawing is None else drawing_data(sheet.ready.drawing),
    }


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _why(sheet: Worksheet) -> Json:
    why = sheet.why_now
    return {
        "reason": why.reason,
        "headline": why.headline,
        "lines": list(why.lines),
        "blocked": list(why.blocked_by),
        "now": why.state != "ahead",
    }


def _figure(figure: Figure) -> Json:
    return {"label": figure.label, "value": figure.value, "remark": figure.remark, "act": False}


def _ready(sheet: Worksheet) -> Json:
    ready = sheet.ready
    return {
        "pot": ready.pot,
        "big": [_figure(figure) for figure in ready.figures if figure.key in BIG_FIGURES],
        "parts": [
            {
                "name": part.name,
                "value": part.value,
                "scoops": counted("{n} scoop", "{n} scoops", part.scoops),
            }
            for part in ready.parts
        ],
        "grain": _("scoop of {scoop}; {grain}").format(scoop=ready.scoop, grain=ready.grain),
        "cuts": [
            {"count": f"{cut.count}", "what": cut.what, "size": cut.size, "remark": cut.remark}
            for cut in ready.cuts
        ],
        "notes": list(ready.notes),
        "domes": [{"hollow": hollow, "dome": dome} for hollow, dome in ready.dome_choices],
    }


def _strip(sheet: Worksheet) -> Json:
    """The line of figures under the head: time, who lifts, what the pot holds."""
    cells: list[Json] = [_figure(sheet.minutes)]
    if sheet.lifting:
        who = counted("{n} person lifts", "{n} people lift", sheet.people)
        cells.append(
            {"label": who, "value": sheet.lifting, "remark": sheet.lift_note, "act": sheet.people > 1}
        )
    cells.extend(_figure(figure) for figure in sheet.ready.figures if figure.key not in BIG_FIGURES)
    return cells


def _tools(sheet: Worksheet) -> Json:
    words = labels()
    groups = (
        (words["roots"], sheet.tools_roots),
        (words["branches"], sheet.tools_branches),
        (words["materials"], sheet.materials),
    )
    return [{"title": title, "items": list(items)} for title, items in groups if items]


def drawing_data(drawing: PotDrawing) -> dict[str, Json]:
    """The drawing's numbers, in mm, with y turned towards the page: down is the front."""
    return {
        "length": drawing.length_mm,
        "width": drawing.width_mm,
        "depth": drawing.depth_mm,
        "length_words": length(drawing.length_mm),
        "width_words": length(drawing.width_mm),
        "depth_words": dimensions((drawing.depth_mm,)),
        "outline": outline_mm(drawing.shape, drawing.length_mm, drawing.width_mm),
        "ball": outline_mm(drawing.shape, drawing.ball_length_mm, drawing.ball_width_mm),
        "floor": drawing.floor_length_mm,
        "holes": [
            {"x": hole.x_mm, "y": -hole.y_mm, "d": hole.diameter_mm, "mesh": mesh}
            for hole, mesh in zip(drawing.holes, drawing.mesh_mm, strict=True)
        ],
        "ties": [[x1, -y1, x2, -y2] for x1, y1, x2, y2 in drawing.ties],
        "trunk": drawing.trunk_mm,
        "behind": drawing.behind_mm,
        "base": drawing.base_drop_mm,
        "substrate": drawing.substrate_mm,
        "dressing": drawing.dressing_mm,
        "ball_length": drawing.ball_length_mm,
        "ball_height": drawing.ball_height_mm,
        "hollow_radius": drawing.hollow_radius_mm,
        "hollow_depth": drawing.hollow_depth_mm,
    }


def outline_mm(shape: str, length_mm: float, width_mm: float) -> Json:
    """A pot's outline seen from above: ellipse, rectangle or corners of a polygon, front side down."""
    if shape in {"oval", "round"}:
        return {"kind": "ellipse", "points": []}
    if shape not in CORNERS:
        return {"kind": "rectangle", "points": []}
    n = CORNERS[shape]
    half = math.pi / n
    # the corners lie on a circle; flats are at the front and the back, so that the width is across flats
    points: list[Json] = []
    for i in range(n):
        angle = (2 * i + 1) * half
        across = 2 * math.cos(half)
        points.append([length_mm * math.sin(angle) / across, width_mm * math.cos(angle) / across])
    return {"kind": "polygon", "points": points}
