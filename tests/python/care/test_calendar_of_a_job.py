"""The calendar file of a job as the door gives it, read by PyPI `icalendar`: the demonstration's saloon, and a coating over the night in which
summer time ends. Its times are those that the clocks say."""

import datetime
import zoneinfo

import icalendar
from test_recorded_schedule import Job

UTC = datetime.timezone.utc


def dates(sidelong, job, store, folder):
    """The events of a job's calendar, and the five clocks of the same job by their words, UTC milliseconds."""
    path = folder / "dates.ics"
    told = sidelong("calendar", job, "--store", store, "-o", str(path))
    read = icalendar.Calendar.from_ical(path.read_bytes())
    events = read.walk("VEVENT")
    assert not read.errors and not any(event.errors for event in events)
    assert told["dates"] == len(events)
    uids = [str(event["uid"]) for event in events]
    assert len(set(uids)) == len(uids)
    return events, sidelong("clocks", "--job", job, "--store", store)["cure"]


def timed(events):
    """When the events are that have a time of day, by the word of their wait."""
    found = {}
    for event in events:
        when = event.decoded("dtstart")
        if isinstance(when, datetime.datetime):
            # A UID is the job's id, which has 36 characters, and the word.
            found[str(event["uid"])[37:]] = when
    return found


def test_the_saloon_of_the_demonstration(sidelong, tmp_path):
    sidelong("demo", str(tmp_path / "demo"))
    store = str(tmp_path / "demo" / "phone-1")
    events, cure = dates(sidelong, "YY26", store, tmp_path)
    waits = timed(events)
    assert set(waits) == {"touch", "rain", "wash", "chemicals", "full"}
    said = {clock["wait"]: clock["due_ms"] for clock in cure}
    assert {wait: round(at.timestamp() * 1_000) for wait, at in waits.items()} == {
        wait: due_ms // 1_000 * 1_000 + (1_000 if due_ms % 1_000 else 0) for wait, due_ms in said.items()
    }
    # The other events are days on which to look again.
    assert len(events) > len(waits)
    # The last levelling and the sheet's 24 hours, 7 and 14 days (fixtures/demo/make_inputs.py).
    assert waits["wash"] - waits["rain"] == datetime.timedelta(days=6)
    assert waits["full"] - waits["wash"] == datetime.timedelta(days=7)


def test_over_the_end_of_summer_time(sidelong, tmp_path):
    """Levelled at 15:02 on the day before the last Sunday of October 2025 (IANA zone database): 24 hours end at
    14:02 by the clock on the wall of London."""
    job = Job(tmp_path / "store")
    says = {"dwell": {"least_s": 120, "most_s": 180}, "waits": {"rain": {"least_s": 86_400}}}
    sheet = job.put("record_sheet", {"kind": "ceramic", "name": "own", "says": says})
    begun = job.put("begin_layer", {"panel": "bonnet", "layer": 1, "sheet": sheet}, "2025-10-25T15:00:00+01:00")
    job.put("level_section", {"begun": begun}, "2025-10-25T15:02:00+01:00")
    assert job.record() is None
    events, cure = dates(sidelong, job.id, job.store, tmp_path)
    rain = timed(events)["rain"]
    assert rain == datetime.datetime(2025, 10, 26, 14, 2, tzinfo=UTC)
    assert rain.astimezone(zoneinfo.ZoneInfo("Europe/London")).strftime("%H:%M") == "14:02"
    (said,) = [clock["due_ms"] for clock in cure if clock["wait"] == "rain"]
    assert said == rain.timestamp() * 1_000
