"""A calendar server (CalDAV, RFC 4791) as four steps: find, list, read, write with conditions."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from orchardcal.commands.mail_password import Password
from orchardcal.errors import NotSent, OrchardcalError
from orchardcal.outputs.caldav_tasks import EVENT, TASK
from orchardcal.outputs.task_reading import LARGEST_BYTES
from orchardcal.sites.task_settings import TaskSettings

MISSING = (
    "tasks needs the library caldav, which is not installed\n"
    '    Install it: pip install "orchardcal[caldav]"'
)
CONTENT_TYPE = "text/calendar; charset=utf-8"
Found = TypeVar("Found")


@dataclass(frozen=True)
class Held:
    """What the server holds at an address."""

    etag: str
    body: bytes


class ChangedThere(Exception):
    """The condition of a write does not hold: somebody changed, made or deleted it meanwhile."""


class CalendarServer:
    """Whatever the server or the line says no to becomes NotSent, never with the password in it."""

    def __init__(self, settings: TaskSettings, secret: Password) -> None:
        try:
            from caldav.davclient import DAVClient
            from caldav.lib import error
        except ImportError as missing:
            raise OrchardcalError(MISSING) from missing
        self._settings = settings
        self._secret = secret
        self._dav_error: type[Exception] = error.DAVError
        self._not_found: type[Exception] = error.NotFoundError
        self._client: Any = DAVClient(
            url=settings.url,
            username=settings.user,
            password=secret.revealed(),
            timeout=settings.timeout_s,
            enable_rfc6764=False,  # the address is given: no search by DNS
        )
        self._principal: Any = None

    def close(self) -> None:
        self._client.close()

    def collection(self, key: str, title: str, create: bool) -> str | None:
        """The address of a collection, made where it is missing; None if it is not to be made.

        key: the last part of its address. title: how calendar programs list it.
        """

        def found() -> str | None:
            if self._principal is None:
                self._principal = self._client.principal()
            calendar = self._principal.calendar(cal_id=key)
            if self._there(str(calendar.url)):
                return str(calendar.url)
            if not create:
                return None
            made = self._principal.make_calendar(
                name=title, cal_id=key, supported_calendar_component_set=[EVENT, TASK]
            )
            return str(made.url)

        return self._asked(found)

    def _there(self, address: str) -> bool:
        try:
            answer = self._client.propfind(address, ["resourcetype"], 0)
        except self._not_found:
            return False
        if answer.status not in (207, 404):
            raise NotSent(self._said(f"the calendar server answered {answer.status}"))
        # Some answer 207 for what is not there, with 404 inside (RFC 4918 9.1 allows either).
        found = answer.status == 207 and answer.results
        return bool(found and found[0].status == 200 and found[0].properties)

    def etags(self, address: str) -> dict[str, str]:
        """The tag of each file in a collection, by file name (RFC 4791 5.3.4)."""
        answer = self._asked(lambda: self._client.propfind(address, ["getetag"], 1))
        if answer.status != 207:
            raise NotSent(self._said(f"the calendar server answered {answer.status} to a listing"))
        return {
            one.href.rstrip("/").rpartition("/")[2]: str(tag)
            for one in answer.results or ()
            if (tag := _tag_in(one.properties))
        }

    def read(self, address: str) -> Held | None:
        """What is at an address, None if there is nothing."""
        answer = self._request("GET", address, b"", {})
        if answer.status in (404, 410):
            return None
        if answer.status != 200:
            raise NotSent(self._said(f"the calendar server answered {answer.status} to a reading"))
        body = answer.raw.encode() if isinstance(answer.raw, str) else bytes(answer.raw)
        return Held(str(answer.headers.get("ETag", "")), body[: LARGEST_BYTES + 1])

    def write(self, address: str, body: bytes, etag: str) -> str:
        """Writes a file where it is still as `etag` says, or new where that is "".

        Returns the new tag, "" where the server gives none. Raises ChangedThere.
        """
        condition = {"If-Match": etag} if etag else {"If-None-Match": "*"}
        headers = {**condition, "Content-Type": CONTENT_TYPE}
        answer = self._request("PUT", address, body, headers)
        if answer.status == 412 or (etag and answer.status in (404, 410)):
            raise ChangedThere
        if answer.status not in (200, 201, 204):
            raise NotSent(self._said(f"the calendar server answered {answer.status} to a writing"))
        return str(answer.headers.get("ETag", ""))

    def remove(self, address: str, etag: str) -> None:
        """Removes a file that is still as `etag` says. Raises ChangedThere."""
        answer = self._request("DELETE", address, b"", {"If-Match": etag})
        if answer.status in (404, 410):
            return
        if answer.status == 412:
            raise ChangedThere
        if answer.status not in (200, 204):
            raise NotSent(self._said(f"the calendar server answered {answer.status} to a removal"))

    def _request(self, method: str, address: str, body: bytes, headers: Mapping[str, str]) -> Any:
        return self._asked(
            lambda: self._client.request(address, method, body.decode(), dict(headers))
        )

    def _asked(self, ask: Callable[[], Found]) -> Found:
        """The answer; what the library raises becomes one message."""
        try:
            return ask()
        except (self._dav_error, OSError) as error:
            reason = str(getattr(error, "reason", "") or error) or type(error).__name__
            raise NotSent(self._said(f"the calendar server did not do it: {reason}")) from None

    def _said(self, what: str) -> str:
        told = self._secret.taken_out(" ".join(what.split()))[:500]
        return (
            f"{self._settings.url}: {told}\n"
            "    What was exchanged before stays so; see [tasks] in programme.toml and try again."
        )


def _tag_in(properties: Mapping[str, Any]) -> str:
    """The entity tag among a file's properties, whatever namespace they are written with."""
    return next((str(value) for name, value in properties.items() if name.endswith("getetag")), "")
