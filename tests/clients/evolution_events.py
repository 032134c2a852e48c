"""Has Evolution Data Server fetch one subscribed calendar and prints its events as JSON.

Runs under Debian's own python3 (python3-gi, gir1.2-ecal-2.0) inside a D-Bus session; the only
argument is the uid of the source. An event is [uid, first, end, status, sequence, title]: days of
an all-day event, instants in UTC of any other, by the time zones that the calendar library holds.
"""

from __future__ import annotations

import json
import sys
from datetime import UTC, datetime
from typing import Any

import gi  # type: ignore[import-not-found, import-untyped, unused-ignore]

gi.require_version("ECal", "2.0")
gi.require_version("EDataServer", "1.2")
gi.require_version("ICalGLib", "3.0")
from gi.repository import ECal, EDataServer, ICalGLib  # type: ignore # noqa: E402

AT_ONCE = 2**32 - 1  # e_cal_client_connect_sync: (guint32) -1 waits for no first connection
FROM, UNTIL = datetime(2020, 1, 1, tzinfo=UTC), datetime(2035, 1, 1, tzinfo=UTC)
STATUS = {
    ICalGLib.PropertyStatus.CONFIRMED: "CONFIRMED",
    ICalGLib.PropertyStatus.CANCELLED: "CANCELLED",
}


def events(source_uid: str) -> list[list[Any]]:
    """Every event of the source between FROM and UNTIL, after a fetch."""
    source = EDataServer.SourceRegistry.new_sync(None).ref_source(source_uid)
    client = ECal.Client.connect_sync(source, ECal.ClientSourceType.EVENTS, AT_ONCE, None)
    client.refresh_sync(None)
    found: list[list[Any]] = []

    def keep(event: Any, first: Any, end: Any, *_: object) -> bool:
        status = event.get_status()
        found.append(
            [
                *(event.get_uid(), moment(first), moment(end)),
                *(STATUS.get(status, str(status)), event.get_sequence(), event.get_summary()),
            ]
        )
        return True

    client.generate_instances_sync(int(FROM.timestamp()), int(UNTIL.timestamp()), None, keep)
    return found


def moment(time: Any) -> str:
    """A day, or an instant in UTC, in the extended format of ISO 8601."""
    if time.is_date():
        return f"{time.get_year():04}-{time.get_month():02}-{time.get_day():02}"
    seconds = time.as_timet_with_zone(time.get_timezone())
    return datetime.fromtimestamp(seconds, UTC).isoformat()


if __name__ == "__main__":
    json.dump(events(sys.argv[1]), sys.stdout)
