"""Calendar files read back by PyPI `icalendar`: the same dates and texts, and on the wire what RFC 5545 section 3.1 asks for."""

import datetime

import icalendar

UTC = datetime.timezone.utc


def moment(ms):
    return datetime.datetime.fromtimestamp(ms // 1000, UTC)


def test_others_read_what_was_written(care):
    rows = [row for row in care if "calendar" in row]
    assert len(rows) == 200
    count = 0
    for row in rows:
        read = icalendar.Calendar.from_ical(row["calendar"])
        assert not read.errors and str(read["version"]) == "2.0"
        events = read.walk("VEVENT")
        assert len(events) == len(row["dates"])
        for event, date in zip(events, row["dates"]):
            count += 1
            assert not event.errors
            assert str(event["uid"]) == date["uid"]
            when = moment(date["utc_ms"]) if date["day"] is None else datetime.date.fromisoformat(date["day"])
            assert event.decoded("dtstart") == when
            assert event.decoded("dtstamp") == moment(1_781_014_800_000)
            for name in ("summary", "description"):
                said = date[name] and date[name].replace("\r\n", "\n").replace("\r", "\n")
                assert event.get(name) == said, row
            alarms = event.walk("VALARM")
            assert len(alarms) == (date["alarm_before_s"] is not None)
            for alarm in alarms:
                assert alarm.decoded("trigger") == -datetime.timedelta(seconds=date["alarm_before_s"])
    assert count > 300


def test_lines_are_short_and_whole(care):
    longest = 0
    for row in care:
        if "calendar" not in row:
            continue
        wire = row["calendar"].encode()
        assert wire.endswith(b"\r\n") and wire.count(b"\n") == wire.count(b"\r\n") == wire.count(b"\r")
        for line in wire.split(b"\r\n"):
            longest = max(longest, len(line))
            # A fold inside a character would not decode.
            line.decode()
    assert longest in (73, 74, 75)
