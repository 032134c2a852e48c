"""The running server: what it answers, to whom, and what it never says."""

from __future__ import annotations

import hashlib
import http.client
import os
import sqlite3
import subprocess
import sys
import threading
import time
from pathlib import Path

from tests.serve.served_folder_of_test import FEED, Running, run

STAFF = FEED.replace(b"test//EN", b"staff//EN")


def test_a_feed_goes_out_with_the_right_headers(public: Running) -> None:
    got = public.get("/staff.ics")
    assert got.status == 200
    assert got.body == (public.out / "staff.ics").read_bytes()
    # RFC 5545 8.1: the media type. RFC 6266 4.2: inline is shown, attachment would be saved.
    assert got.headers["content-type"] == "text/calendar; charset=utf-8"
    assert got.headers["content-disposition"] == 'inline; filename="staff.ics"'
    assert got.headers["referrer-policy"] == "no-referrer"
    # RFC 9110 8.8.3: strong, so without W/; ours is over the exact bytes.
    assert got.headers["etag"] == f'"{hashlib.sha256(got.body).hexdigest()}"'
    # GNU date -u -d @1790000000 says Mon Sep 21 14:13:20 UTC 2026.
    assert got.headers["last-modified"] == "Mon, 21 Sep 2026 14:13:20 GMT"
    assert int(got.headers["content-length"]) == len(got.body)
    assert "set-cookie" not in got.headers


def test_head_says_what_get_would(public: Running) -> None:
    """RFC 9110 9.3.2: the same header fields without the content."""
    get, head = public.get("/staff.ics"), public.get("/staff.ics", "HEAD")
    assert head.body == b""
    assert head.status == 200
    assert {**get.headers, "date": ""} == {**head.headers, "date": ""}


def test_not_modified(public: Running) -> None:
    """RFC 9110 15.4.5: 304 carries ETag, Cache-Control and Date, and no content."""
    first = public.get("/staff.ics")
    for headers in (
        {"If_None_Match": first.headers["etag"]},
        {"If_None_Match": f'"other", W/{first.headers["etag"]}'},
        {"If_Modified_Since": first.headers["last-modified"]},
    ):
        for method in ("GET", "HEAD"):
            again = public.get("/staff.ics", method, **headers)
            assert again.status == 304
            assert again.body == b""
            assert again.headers["etag"] == first.headers["etag"]
            assert {"cache-control", "date"} <= set(again.headers)
    changed = public.get("/staff.ics", If_None_Match='"other"', If_Modified_Since=_an_hour_ago())
    assert changed.status == 200
    assert public.get("/staff.ics", If_Match='"other"').status == 412


def test_a_connection_stays_open_after_not_modified(public: Running) -> None:
    """RFC 9112 6.3: a 304 ends with its headers; 9.3: connections persist unless told otherwise."""
    tag = public.get("/staff.ics").headers["etag"]
    line = http.client.HTTPConnection("127.0.0.1", public.port, timeout=5)
    line.connect()
    opened = line.sock
    for headers, status in (
        ({"If-None-Match": tag}, 304),
        ({}, 200),
        ({"If-None-Match": tag}, 304),
    ):
        line.request("GET", "/staff.ics", headers=headers)
        found = line.getresponse()
        assert found.status == status
        assert len(found.read()) == (len(STAFF) if status == 200 else 0)
        assert line.sock is opened
    line.request("GET", "/staff.ics", headers={"If-None-Match": tag, "Connection": "close"})
    last = line.getresponse()
    assert last.headers["connection"] == "close"
    last.close()
    line.close()


def _an_hour_ago() -> str:
    return time.strftime("%a, %d %b %Y %H:%M:%S GMT", time.gmtime(time.time() - 3600))


def test_other_methods_are_refused(public: Running) -> None:
    for method in ("POST", "PUT", "DELETE", "OPTIONS", "TRACE", "PROPFIND"):
        refused = public.get("/staff.ics", method)
        assert refused.status == 405
        assert refused.headers["allow"] == "GET, HEAD"  # RFC 9110 15.5.6
    assert (public.out / "staff.ics").read_bytes() == STAFF


def test_pages_may_load_nothing_from_elsewhere(public: Running) -> None:
    page = public.get("/")
    assert page.status == 200
    assert page.headers["content-type"] == "text/html; charset=utf-8"
    assert "default-src 'none'" in page.headers["content-security-policy"]


def test_a_private_address_opens_one_feed_until_it_is_revoked(server: Running) -> None:
    ada = server.address("ada", "sites/millbrook")
    bo = server.address("bo", "staff")
    all_of_it = server.address("ada", "pages")
    assert server.get(ada).body == FEED
    assert server.get(bo).body == STAFF
    for path in ("index.html", "", "staff.ics", "sites/millbrook.ics"):
        assert server.get(all_of_it + path).status == 200
    other = ada.replace("sites/millbrook", "staff")
    for path in ("/staff.ics", "/", other, ada[:-4] + ".html", ada.replace("/p/", "/P/")):
        assert server.get(path).status == 404
    ids = [one.split("/")[2].partition("-")[0] for one in (ada, bo, all_of_it)]
    run("access", "-C", str(server.folder), "--revoke", ids[0])
    assert server.get(ada).status == 404
    assert server.get(ada, If_None_Match="*").status == 404
    assert server.get(bo).status == 200
    run("access", "-C", str(server.folder), "--revoke-all-of", "bo")
    assert server.get(bo).status == 404
    assert server.get(all_of_it).status == 200
    listed = run("access", "-C", str(server.folder))
    assert [line.split()[0] for line in listed.splitlines()] == ids
    assert listed.count("ended") == 2


def test_no_secret_is_kept_or_logged(server: Running) -> None:
    address = server.address("ada", "staff")
    token = address.split("/")[2]
    secret = token.partition("-")[2]
    assert len(secret) == 43  # 32 bytes in base64url without padding: RFC 4648 section 5
    assert server.get(address).status == 200
    server.get(address.replace("staff", "no-such"))
    server.get(address, "POST")
    server.raw(f"GET {address} HTTP/1.1\r\nbroken header\r\n\r\n".encode())
    said = server.ended()
    assert secret not in said
    assert f"/p/{token[:8]}/staff.ics 200" in said
    kept = b"".join(path.read_bytes() for path in server.folder.glob("journal.sqlite*"))
    assert secret.encode() not in kept
    with sqlite3.connect(server.folder / "journal.sqlite") as store:
        hashes = store.execute("SELECT secret_sha256 FROM private_addresses").fetchall()
    store.close()
    assert len(hashes[0][0]) == 32


def test_a_new_plan_is_served_at_once(public: Running) -> None:
    path = public.out / "volunteers.ics"
    assert public.get("/volunteers.ics").status == 404
    tags = set()
    for number in range(3):
        new = FEED.replace(b"test//EN", b"%d//EN" % number)
        _moved_into_place(path, new)
        got = public.get("/volunteers.ics")
        assert got.body == new
        tags.add(got.headers["etag"])
        # Its second is not over, so no date could tell it from the next (RFC 9110 8.8.2.2).
        assert "last-modified" not in got.headers
    assert len(tags) == 3
    path.unlink()
    assert public.get("/volunteers.ics").status == 404


def test_no_reader_ever_gets_half_a_file(public: Running) -> None:
    """Two versions of different length alternate; every answer is one of them, whole."""
    path = public.out / "sites" / "changing.ics"
    versions = [FEED, FEED.replace(b"END:V", b"X-LONG:" + 300_000 * b"a" + b"\r\nEND:V")]
    _moved_into_place(path, versions[0])
    stop = threading.Event()

    def replace() -> None:
        at = 0
        while not stop.is_set():
            at = 1 - at
            _moved_into_place(path, versions[at])

    changer = threading.Thread(target=replace)
    changer.start()
    try:
        got = [public.get("/sites/changing.ics") for _ in range(200)]
    finally:
        stop.set()
        changer.join()
    assert {one.status for one in got} == {200}
    assert {one.body for one in got} <= set(versions)
    for one in got:
        assert one.headers["etag"] == f'"{hashlib.sha256(one.body).hexdigest()}"'


def test_a_file_being_copied_in_place_is_not_served(public: Running) -> None:
    path = public.out / "sites" / "copied.ics"
    path.write_bytes(FEED[:40])
    assert public.get("/sites/copied.ics").status == 503
    path.write_bytes(FEED)
    assert public.get("/sites/copied.ics").body == FEED
    path.write_bytes(FEED[:50])  # the last whole version stands in
    assert public.get("/sites/copied.ics").body == FEED


def test_a_store_that_cannot_be_read_opens_nothing(server: Running) -> None:
    address = server.address("ada", "staff")
    assert server.get(address).status == 200
    (server.folder / "journal.sqlite").write_bytes(b"no store" * 1000)
    closed = server.get(address)
    assert closed.status == 503
    assert closed.headers["retry-after"] == "30"


def test_public_beyond_this_machine_must_be_said_twice(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    refused = subprocess.run(
        [sys.executable, "-m", "orchardcal", "serve", "out", "--public", "--host", "0.0.0.0"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        check=False,
        capture_output=True,
        text=True,
        timeout=30,
    )
    assert refused.returncode == 2
    assert "--to-everyone" in refused.stderr


def _moved_into_place(path: Path, content: bytes) -> None:
    aside = path.with_name(f".{path.name}.new")
    aside.write_bytes(content)
    aside.replace(path)
