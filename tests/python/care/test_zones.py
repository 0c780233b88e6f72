"""Every change of every zone's clock from 2020 to 2037, beside Python's zoneinfo with the tables of PyPI `tzdata`. That is
pinned to 2025c, ours are of 2025b: between the two nothing after 2020 changed. Later tables know of later changes of the rules."""

import datetime
import zoneinfo

import tzdata

DAY = 86_400
FIRST, END = 1_577_836_800, 2_145_916_800


def test_clocks_change_when_and_how_others_say(care):
    (version,) = [row["tzdb"] for row in care if "tzdb" in row]
    print("ours", version, "theirs", tzdata.IANA_VERSION)
    zoneinfo.reset_tzpath(to=[])
    rows = [row for row in care if "zone" in row]
    assert len(rows) > 500
    changes = 0
    for row in rows:
        zone = zoneinfo.ZoneInfo(row["zone"])

        def off(at):
            return int(datetime.datetime.fromtimestamp(at, zone).utcoffset().total_seconds())

        assert off(FIRST) == row["first"], row["zone"]
        found = {at: (off_s, shown) for at, off_s, shown in row["changes"]}
        before = row["first"]
        for at in range(FIRST, END, DAY):
            if off(at) != off(at + DAY):
                (change,) = [it for it in found if at < it <= at + DAY]
                now = datetime.datetime.fromtimestamp(change, zone)
                assert (off(change - 1), off(change)) == (before, found[change][0]), (row["zone"], change)
                assert found[change][1] == now.strftime("%a %-d %B %Y %Y-%m-%d %H:%M"), (row["zone"], change)
                before = found.pop(change)[0]
                changes += 1
        assert not found, row["zone"]
    print(len(rows), "zones,", changes, "changes")
    assert changes > 5_000
