"""The weather room: a file looked into before it is stored, a forecast on the strip, readings of a place."""

from __future__ import annotations

import json
import re
from datetime import date, timedelta

import pytest
from playwright.sync_api import expect

from app.conftest import DESK, PHONE, Look
from app.serving import Served

pytestmark = pytest.mark.browser

TODAY = date(2027, 3, 7)  # of the demo yard


def forecast_file(days: int) -> bytes:
    """Days from today on, in the form of a public weather interface (Open-Meteo, JSON)."""
    told = [(TODAY + timedelta(days=k)).isoformat() for k in range(days)]
    daily = {
        "time": told,
        "temperature_2m_max": [8.5 + k % 3 for k in range(days)],
        "temperature_2m_min": [-1.5 + k % 4 for k in range(days)],
    }
    units = {"time": "iso8601", "temperature_2m_max": "°C", "temperature_2m_min": "°C"}
    return json.dumps(
        {
            "latitude": 51.3,
            "longitude": -2.4,
            "elevation": 60.0,
            "utc_offset_seconds": 0,
            "timezone": "GMT",
            "daily_units": units,
            "daily": daily,
        }
    ).encode()


def test_a_forecast_is_looked_into_taken_in_drawn_and_taken_back(look: Look, own: Served) -> None:
    watched = look(own, DESK)
    page = watched.open("/weather")
    stamp = own.get("/api/head")["stamp"]
    page.get_by_label("Choose a file").set_input_files(
        {"name": "days.json", "mimeType": "application/json", "buffer": forecast_file(10)}
    )
    main = page.get_by_role("main")
    expect(main.get_by_role("heading", name="days.json")).to_be_visible()
    expect(main).to_contain_text("Read as: Open-Meteo")
    expect(main).to_contain_text("kept as a forecast")
    assert own.get("/api/head")["stamp"] == stamp  # looked into, not stored

    main.get_by_role("button", name="Take it in").click()
    expect(main.get_by_text(re.compile("forecast of 7 Mar 2027")).first).to_be_visible()
    assert own.get("/api/head")["stamp"] == stamp + 1
    strip = own.get("/api/today")["strip"]["days"]
    assert {each["day"] for each in strip if each["state"] == "forecast"} >= {"2027-03-09", "2027-03-15"}

    page.get_by_role("button", name="Take back").filter(visible=True).first.click()
    expect(main.get_by_text(re.compile("forecast of 7 Mar 2027"))).to_have_count(0)
    assert not any(each["state"] == "forecast" for each in own.get("/api/today")["strip"]["days"])


def test_a_table_of_unknown_columns_is_told_and_a_bad_file_refused(look: Look, own: Served) -> None:
    watched = look(own, PHONE)
    page = watched.open("/weather")
    main = page.get_by_role("main")
    stamp = own.get("/api/head")["stamp"]
    choose = page.get_by_label("Choose a file")
    rows = "Tag;Kalt;Warm\n" + "".join(f"{day:02d}.01.2004;{day % 5};{day % 5 + 6}\n" for day in range(1, 29))
    choose.set_input_files({"name": "garden.csv", "mimeType": "text/csv", "buffer": rows.encode()})
    for column, ours in (("Tag", "the day"), ("Kalt", "lowest temperature"), ("Warm", "highest temperature")):
        group = main.get_by_role("group", name=f"Column {column}")
        group.get_by_label("is", exact=True).select_option(label=ours)
    expect(main.get_by_role("button", name="Take it in")).to_be_visible()
    expect(main).to_contain_text("28 days measured, 28 of them new or changed")
    main.get_by_role("button", name="Leave it").tap()

    watched.expect("400")
    broken = b"date,tmin_degC,tmax_degC\n2004-01-01,1,7\n2004-01-02,x,8\n"
    choose.set_input_files({"name": "broken.csv", "mimeType": "text/csv", "buffer": broken})
    told = main.get_by_role("alert")
    expect(told).to_contain_text("tmin_degC")
    expect(told).to_contain_text("3")  # the row
    assert own.get("/api/head")["stamp"] == stamp


def test_a_reading_teaches_its_place_and_can_be_taken_back(look: Look, own: Served) -> None:
    watched = look(own, PHONE)
    page = watched.open("/weather")
    place = (
        page.get_by_role("main")
        .get_by_role("listitem")
        .filter(has=page.get_by_role("heading", name="bench 2", exact=True))
    )
    expect(place).to_contain_text("0 days read")
    place.get_by_role("button", name="Log a reading: bench 2").tap()
    place.get_by_label("Lowest").fill("−3,5")
    place.get_by_role("button", name="Keep").tap()
    expect(place).to_contain_text("1 day read")
    told = next(each for each in own.get("/api/microsites")["places"] if each["name"] == "bench 2")
    assert told["readings"] == 1
    page.get_by_role("button", name="Take back").filter(visible=True).first.tap()
    expect(place).to_contain_text("0 days read")
