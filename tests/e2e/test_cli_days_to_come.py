"""A forecast on the command line: brought in, shown, used by the outlook, taken back."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path

from command_line import Cli

from ringwise.desk.settings import write_settings

TODAY = date(2027, 3, 7)


def own_rows(first: date, last: date, *, low: float) -> str:
    rows = ["date,tmin_degC,tmax_degC"]
    for k in range((last - first).days + 1):
        day = first + timedelta(days=k)
        rows.append(f"{day},{low + day.year % 3:g},{low + day.year % 3 + 8:g}")
    return "\n".join(rows) + "\n"


def test_from_a_file_to_the_outlook_and_back(cli: Cli, yard: Path, tmp_path: Path) -> None:
    write_settings(yard, {"latitude_deg": 52.4, "today": TODAY})
    past, ahead = tmp_path / "past.csv", tmp_path / "ahead.csv"
    past.write_text(own_rows(date(2023, 6, 1), TODAY - timedelta(days=1), low=1.0))
    assert cli("weather", "import", str(past), folder=yard).code == 0
    assert cli("tree", "add", "Gatepost", "--species", "Carpinus betulus", folder=yard).code == 0
    before = cli("outlook", "--json", folder=yard)
    assert before.code == 0, before.err
    ahead.write_text(own_rows(TODAY - timedelta(days=1), TODAY + timedelta(days=12), low=15.0))
    preview = cli("weather", "import", str(ahead), "--preview", folder=yard)
    assert "12 days are still to come, kept as a forecast up to 19 Mar 2027" in preview.out
    ahead.write_text(own_rows(TODAY + timedelta(days=1), TODAY + timedelta(days=12), low=15.0))
    ran = cli("weather", "import", str(ahead), "--json", folder=yard)
    assert (ran.data["new_days"], ran.data["new_forecast_days"]) == (0, 12)
    shown = cli("weather", "show", "--json", folder=yard).data
    assert (shown["last"], shown["forecast"]["last"]) == ("2027-03-06", "2027-03-19")
    assert "forecast of 7 Mar 2027, to 19 Mar 2027" in cli("weather", "show", folder=yard).out
    warm = cli("outlook", "--json", folder=yard)
    assert warm.out != before.out
    assert any("forecast of 7 Mar" in note for note in warm.data["notes"])
    # Asked for a day before the forecast was brought in, the outlook does not know it.
    then = cli("outlook", "--on", "2027-03-05", "--json", folder=yard)
    assert not any("forecast" in note for note in then.data["notes"])
    assert cli("undo", folder=yard).code == 0
    assert cli("weather", "show", "--json", folder=yard).data["forecast"] is None
    assert cli("outlook", "--json", folder=yard).out == before.out


def test_a_bad_forecast_is_one_line_and_stores_nothing(cli: Cli, yard: Path, tmp_path: Path) -> None:
    write_settings(yard, {"latitude_deg": 52.4, "today": TODAY})
    file = tmp_path / "ahead.csv"
    file.write_text(own_rows(TODAY, TODAY + timedelta(days=5), low=3.0).replace("11", "warm", 1))
    ran = cli("weather", "import", str(file), folder=yard)
    assert (ran.code, ran.out) == (2, "")
    assert "ahead.csv" in ran.one_line
    far = tmp_path / "far.json"
    days = [(TODAY + timedelta(days=40 + k)).isoformat() for k in range(3)]
    told = {"time": days, "temperature_2m_max": [9, 9, 9], "temperature_2m_min": [1, 1, 1]}
    far.write_text(json.dumps({"daily": told}))
    ran = cli("weather", "import", str(far), folder=yard)
    assert ran.code == 2
    assert "none within 16 days" in ran.one_line
    assert cli("weather", "show", folder=yard).code != 0
