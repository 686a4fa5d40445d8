"""Has the calendar of the rounds read by an independent library and compared with the program's JSON.

Source of what a calendar must be: RFC 5545, as the Python library icalendar reads it.
"""

import datetime
import json
import os
import subprocess
import sys
import tempfile

from icalendar import Calendar


def main() -> None:
    program = os.path.abspath(sys.argv[1])
    with tempfile.TemporaryDirectory() as home:
        environment = {"BLOCKSIDE_HOME": home, "PATH": os.environ["PATH"]}

        def run(*arguments: str) -> str:
            return subprocess.run(
                [program, *arguments], check=True, capture_output=True, text=True, cwd=home, env=environment
            ).stdout

        run("rounds", "done", "wipe-floor", "--on", "yesterday")
        told = json.loads(run("rounds", "--ics", "rounds.ics", "--format", "json"))
        with open(os.path.join(home, "rounds.ics"), "rb") as file:
            calendar = Calendar.from_ical(file.read())
    events = {str(event["UID"]).split("@")[0]: event for event in calendar.walk("VEVENT")}
    rounds = {one["id"]: one for one in told["rounds"]}
    assert events.keys() == rounds.keys(), events.keys() ^ rounds.keys()
    for name, one in rounds.items():
        event = events[name]
        assert not event.errors, (name, event.errors)
        assert event["DTSTART"].dt == datetime.date.fromisoformat(one["due"]), name
        assert event["RRULE"]["FREQ"] == ["DAILY"], name
        assert event["RRULE"]["INTERVAL"] == [one["every_days"]], name
        assert one["how"] in str(event["DESCRIPTION"]), name
        assert event["DTSTAMP"].dt.tzinfo is not None, name
    print(f"{len(events)} events read by icalendar agree with the program")


if __name__ == "__main__":
    main()
