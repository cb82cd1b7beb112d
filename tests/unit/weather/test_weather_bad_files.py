"""Bad weather files: one line with file, row and column, and the way out; never another kind of error."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringwise.kit.errors import InputError, RingwiseError
from ringwise.weather.formats.found import Wish
from ringwise.weather.formats.sniff import measured_part, read_weather

DATA = Path(__file__).parent / "data"
GOOD = sorted(file.name for file in DATA.iterdir() if file.suffix != ".md")
ID = "XX000000001"
DLY = f"{ID}202403TMAX" + "  100  S" + "-9999   " * 30
GSOD = "STATION,DATE,TEMP,MAX,MIN,FRSHTT\n"
WIDE = "STATION,DATE,TMAX,TMIN\n"
DWD = "STATIONS_ID;MESS_DATUM;TMK;TXK;TNK;eor\n"
DAILY = '"daily": {"time": ["2024-03-01"], "temperature_2m_max": '
TITLE = "latitude,longitude,elevation\n1,2,3\n\ntime,temperature_2m_max (°C)\n"

# What is wrong, the file, and what the line must say.
BAD: dict[str, tuple[str | bytes, str]] = {
    "nothing": (b"", "f: the file is empty"),
    "blanks": (b" \n \n", "f: the file is empty"),
    "packed": (b"PK\x03\x04rest", "f: is a packed file. Unpack it"),
    "gzip": (b"\x1f\x8brest", "f: is a packed file"),
    "picture": (b"\x89PNG\r\n\x1a\n\xff\xfe", "f: is no UTF-8 text"),
    "zero byte": (b"date,tmean_degC\n2024-03-01,\x005\n", "f: this is no text file"),
    "prose": ("It rained all day.\n", "f: is none of the formats that are known"),
    "other table": ("when;warm\n1;2\n", "Say which column is what with a mapping"),
    "web page": ("<html>\n<body>\n", 'Its first row is "<html>"'),
    "json cut short": ('{"daily": {"time": ["2024-', "f: is no whole JSON"),
    "json list": ("[1, 2]", "f: holds 2 places"),
    "json number": ("[3]", "f: is JSON, but no weather"),
    "json hourly": ('{"hourly": {}}', "f: has no daily values. Ask for daily=temperature_2m_max"),
    "json refusal": ('{"error": true, "reason": "too\\nmany"}', 'f: is an answer that says "too many"'),
    "json deep": ("[" * 100_000, "f: is no whole JSON"),
    "json no values": ("{" + DAILY + "[null]}}", "f: holds no value that can be used"),
    "json short list": ("{" + DAILY + "[]}}", "f, column temperature_2m_max: has 0 values for 1 days"),
    "json text value": ("{" + DAILY + '["warm"]}}', 'f, row 1, column temperature_2m_max: "warm" is no num'),
    "json truth value": ("{" + DAILY + "[true]}}", "row 1, column temperature_2m_max"),
    "json no day": ("{" + DAILY.replace("03-01", "02-30") + "[3]}}", 'f, row 1, column time: "2024-02-30"'),
    "json unit": ('{"daily_units": {"temperature_2m_max": "furlong"},' + DAILY + "[3]}}", 'unit "furlong"'),
    "csv places": ("location_id,latitude\n0,1\n", "f, row 1: holds several places"),
    "csv no table": ("latitude,longitude\n1,2\n", "f: has no daily values"),
    "csv short row": (TITLE + "2024-03-01\n", "f, row 5: the row has 1 cells where the header has 2"),
    "csv word": (TITLE + "2024-03-01,warm\n", 'f, row 5, column temperature_2m_max: "warm" is no number'),
    "csv twice": (TITLE + "2024-03-01,1\n2024-03-01,2\n", "f, row 6, column temperature_2m_max: 2024-03-01"),
    "dly other line": (DLY + "\nrest\n", "f, row 2: is no line of this form"),
    "dly too long": (DLY + "-9999   \n", "f, row 1: is no line of this form"),
    "dly month": (DLY.replace("202403", "202413"), 'f, row 1: "202413" is no month'),
    "dly year": (DLY.replace("202403", "000103"), 'f, row 1: "000103" is no month'),
    "dly day 30 of February": (
        f"{ID}202402TMAX" + "-9999   " * 29 + "  100  S-9999   ",
        "f, row 1, column TMAX: has a value on day 30 of a month of 29 days",
    ),
    "dly value": (DLY.replace("  100", "1-0 0"), 'f, row 1, column TMAX: "1-0 0" is no number'),
    "dly two stations": (DLY + "\n" + DLY.replace("001", "002", 1), 'f, row 2: holds station "XX000000002"'),
    "dly month twice": (DLY + "\n" + DLY, "f, row 2, column TMAX: 2024-03-01 stands there twice"),
    "dly no temperature": (DLY.replace("TMAX", "SNWD"), "f: holds no value that can be used"),
    "station csv value": (f"{ID},20240301,TMAX,warm,,,S,\n", 'f, row 1, column TMAX: "warm" is no number'),
    "station csv day": (f"{ID},20240231,TMAX,10,,,S,\n", 'f, row 1, column DATE: "20240231" is no day'),
    "station csv time": (f"{ID},20240301,TMAX,10,,,S,7am\n", 'f, row 1, column OBS-TIME: "7am"'),
    "station csv width": (f"{ID},20240301,TMAX,1\n{ID},20240302\n", "f, row 2: the row has 2 cells"),
    "station csv twice": (
        f"{ID},20240301,TMAX,10,,,S,0700\n{ID},20240301,TMAX,11,,,S,0700\n",
        "f, row 2, column TMAX: 2024-03-01 stands there twice",
    ),
    "station csv stations": (f"{ID},20240301,TMAX,1\nYY000000001,20240302,TMAX,1\n", "f, row 2: holds stat"),
    "all flagged": (f"{ID},20240301,TMAX,10,,X,S,\n", "f: holds no value that can be used"),
    "wide unit": (WIDE + "X,2024-03-01,50,40\n", "f: the file names no unit"),
    "wide width": (WIDE + "X,2024-03-01,50\n", "f, row 2: the row has 3 cells where the header has 4"),
    "wide word": (WIDE + "X,2024-03-01,warm,3\n", 'f, row 2, column TMAX: "warm" is no number'),
    "wide stations": (WIDE + "X,2024-03-01,181,75\nY,2024-03-02,181,75\n", 'f, row 3: holds station "Y"'),
    "wide column twice": ("STATION,DATE,TMAX,TMAX\nX,2024-03-01,1,2\n", 'f, row 1: column "TMAX" stands'),
    "gsod word": (GSOD + "1,2024-03-01,50,cold,40,0\n", 'f, row 2, column MAX: "cold" is no number'),
    "gsod day": (GSOD + "1,01/03/2024,50,60,40,0\n", 'f, row 2, column DATE: "01/03/2024" is no day'),
    "gsod twice": (GSOD + "1,2024-03-01,50,60,40,0\n" * 2, "f, row 3, column TEMP: 2024-03-01 stands"),
    "gsod nines only": (GSOD + "1,2024-03-01,9999.9,9999.9,9999.9,0\n", "f: holds no value"),
    "dwd word": (DWD + "1;20240301;x;1;1;eor\n", 'f, row 2, column TMK: "x" is no number'),
    "dwd day": (DWD + "1;2024301;1;1;1;eor\n", 'f, row 2, column MESS_DATUM: "2024301" is no day'),
    "dwd cut": (DWD + "1;20240301;1;1\n", "f, row 2: the row has 4 cells where the header has 6"),
    "dwd in tenths": (
        DWD + "".join(f"1;202403{day:02d};-999;181;75;eor\n" for day in range(1, 9)),
        "f, column TNK: most values cannot be right in degC",
    ),
    "own word": ("date,tmean_degC\n2024-03-01,warm\n", 'f, row 2, column tmean_degC: "warm" is no number'),
    "own sentinel": ("date,tmean_degC\n2024-03-01,-999\n", "f, row 2, column tmean_degC: on 2024-03-01"),
    "own years": ("date,tmean_degC\n0024-03-01,1\n2024-03-01,1\n", "Check the years"),
}
BAD_MAPPINGS = {
    "unit": ("date=D,tmean_degC=T:furlong", 'column mapping of tmean_degC has "furlong"'),
    "unit of another": ("date=D,tmean_degC=T:mm", "Accepted: degC"),
    "height of no wind": ("date=D,tmean_degC=T:height=10", 'has "height=10"'),
    "height": ("date=D,wind_2m_m_s=T:height=9999", "accepted: 0.5 to 100 m"),
    "height in words": ("date=D,wind_2m_m_s=T:height=tall", "such as height=10"),
    "date form": ("date=D:YY,tmean_degC=T", "Accepted: YYYY-MM-DD, DD.MM.YYYY"),
    "column": ("date=D,tmean_degC=X:degF", 'no column "X"; the file has D, T'),
    "mark left out": ("date=D,tmean_degC=T:missing=-9", "tmean_degC is -99"),
}


def line_of(data: bytes, columns: str | None = None) -> str:
    with pytest.raises(InputError) as wrong:
        read_weather(data, Wish("f", today=date(2026, 1, 1)), columns=columns)
    return str(wrong.value)


@pytest.mark.parametrize(("data", "words"), BAD.values(), ids=BAD)
def test_a_bad_file_is_refused_in_one_line_with_its_place(data: str | bytes, words: str) -> None:
    line = line_of(data.encode() if isinstance(data, str) else data)
    assert words in line
    assert len(line.splitlines()) == 1
    assert line.startswith("f")
    assert len(line) < 400


@pytest.mark.parametrize(("columns", "words"), BAD_MAPPINGS.values(), ids=BAD_MAPPINGS)
def test_a_bad_mapping_is_refused_in_one_line(columns: str, words: str) -> None:
    line = line_of(b"D,T\n2024-03-01,-99\n", columns)
    assert words in line
    assert len(line.splitlines()) == 1


def outcome(data: bytes, columns: str | None = None) -> str:
    """Empty where the file reads, else the line; any other error than ours fails the test."""
    try:
        found = read_weather(data, Wish("f", today=date(2024, 2, 28)), columns=columns)
        assert found.series.n >= 1
        measured_part(found)
    except RingwiseError as wrong:
        return str(wrong)
    return ""


@given(st.binary(max_size=300))
def test_any_bytes_read_or_are_refused_in_one_line(data: bytes) -> None:
    assert len(outcome(data).splitlines()) <= 1


HEADS = (f"{ID},20240301,TMAX,", DLY[:30], GSOD, WIDE, DWD, TITLE, "{" + DAILY, "date,tmin_degC\n")
PIECES = st.text(alphabet="0123456789-.,;:\n\"'[]{}nulTMAXdate \x1c\x85é", max_size=80)


@given(st.sampled_from(HEADS), PIECES)
def test_any_text_below_a_known_head_reads_or_is_refused_in_one_line(head: str, rest: str) -> None:
    assert len(outcome((head + rest).encode()).splitlines()) <= 1


@given(st.sampled_from(GOOD), st.data())
def test_a_good_file_with_a_few_bytes_changed_reads_or_is_refused_in_one_line(
    name: str, data: st.DataObject
) -> None:
    good = (DATA / name).read_bytes()
    for _change in range(data.draw(st.integers(1, 4))):
        place = data.draw(st.integers(0, len(good)))
        cut = data.draw(st.integers(0, 12))
        put = data.draw(st.one_of(st.binary(max_size=6), st.sampled_from([b"9999", b"-", b",", b";", b"\n"])))
        good = good[:place] + put + good[place + cut :]
    assert len(outcome(good).splitlines()) <= 1


@given(st.text(alphabet="date=DTmin_degC:FK,|issng9-h", max_size=40))
def test_any_mapping_reads_or_is_refused_in_one_line(columns: str) -> None:
    assert len(outcome(b"D,T\n2024-02-01,-9\n", f"date=D,tmin_degC=T{columns}").splitlines()) <= 1
