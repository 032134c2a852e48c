"""The tables of the journal's store, as steps: each brings a store from one version to the next."""

from __future__ import annotations

APPLICATION_ID = 0x4F726368  # "Orch": tells our stores from other SQLite files

# A store's version (PRAGMA user_version) is the number of steps it has had. Steps are only ever
# added at the end, never changed: stores in use have had the earlier ones.
STEPS: tuple[tuple[str, ...], ...] = (
    (
        f"PRAGMA application_id = {APPLICATION_ID}",
        """CREATE TABLE entries (
            position INTEGER PRIMARY KEY AUTOINCREMENT,
            recorded TEXT NOT NULL,
            id TEXT NOT NULL UNIQUE,
            kind TEXT NOT NULL,
            site TEXT NOT NULL,
            day TEXT NOT NULL,
            care TEXT NOT NULL,
            plantings TEXT NOT NULL,
            season INTEGER NOT NULL,
            "by" TEXT NOT NULL,
            minutes INTEGER,
            trees INTEGER,
            until TEXT,
            seen TEXT NOT NULL,
            note TEXT NOT NULL,
            undoes TEXT NOT NULL,
            cut TEXT NOT NULL
        )""",
        "CREATE INDEX entries_by_site ON entries (site)",
        """CREATE TRIGGER entries_never_change BEFORE UPDATE ON entries
            BEGIN SELECT RAISE(ABORT, 'entries never change: record a correction'); END""",
        """CREATE TRIGGER entries_never_leave BEFORE DELETE ON entries
            BEGIN SELECT RAISE(ABORT, 'entries never leave: record that one is undone'); END""",
        """CREATE TABLE published (
            position INTEGER PRIMARY KEY,
            uid TEXT NOT NULL UNIQUE,
            site TEXT NOT NULL,
            care TEXT NOT NULL,
            season INTEGER NOT NULL,
            plantings TEXT NOT NULL,
            first TEXT NOT NULL,
            last TEXT NOT NULL,
            status TEXT NOT NULL,
            sequence INTEGER NOT NULL,
            revised TEXT NOT NULL,
            fingerprint TEXT NOT NULL,
            audiences TEXT NOT NULL,
            vevent BLOB NOT NULL,
            missed TEXT,
            planned TEXT,
            odds REAL
        )""",
    ),
    (
        """CREATE TABLE mails (
            position INTEGER PRIMARY KEY AUTOINCREMENT,
            key TEXT NOT NULL UNIQUE,
            person TEXT NOT NULL,
            kind TEXT NOT NULL,
            subject TEXT NOT NULL,
            as_of TEXT NOT NULL,
            address_mark TEXT NOT NULL,
            state TEXT NOT NULL,
            changed TEXT NOT NULL,
            answer TEXT NOT NULL
        )""",
        """CREATE TABLE mail_items (
            mail TEXT NOT NULL REFERENCES mails (key),
            item TEXT NOT NULL,
            uid TEXT NOT NULL,
            day TEXT,
            PRIMARY KEY (mail, item)
        )""",
    ),
    (
        """CREATE TABLE private_addresses (
            position INTEGER PRIMARY KEY AUTOINCREMENT,
            id TEXT NOT NULL UNIQUE,
            person TEXT NOT NULL,
            feed TEXT NOT NULL,
            secret_sha256 BLOB NOT NULL,
            made TEXT NOT NULL,
            revoked TEXT
        )""",
    ),
    (
        """CREATE TABLE task_copies (
            uid TEXT PRIMARY KEY,
            of_uid TEXT NOT NULL,
            site TEXT NOT NULL,
            kind TEXT NOT NULL,
            address TEXT NOT NULL,
            etag TEXT NOT NULL,
            body BLOB NOT NULL,
            fingerprint TEXT NOT NULL,
            entries TEXT NOT NULL
        )""",
    ),
    ("ALTER TABLE published ADD COLUMN crew TEXT NOT NULL DEFAULT ''",),
    (
        # What the rows of a site were made from. It holds for the rows just as they are: whoever
        # touches one of them, by whatever means, takes it away.
        """CREATE TABLE published_from (
            site TEXT PRIMARY KEY,
            key TEXT NOT NULL
        )""",
        """CREATE TRIGGER published_added AFTER INSERT ON published
            BEGIN DELETE FROM published_from WHERE site = NEW.site; END""",
        """CREATE TRIGGER published_changed AFTER UPDATE ON published
            BEGIN DELETE FROM published_from WHERE site IN (OLD.site, NEW.site); END""",
        """CREATE TRIGGER published_removed AFTER DELETE ON published
            BEGIN DELETE FROM published_from WHERE site = OLD.site; END""",
    ),
    (
        # Rows that rest are known by comparing them.
        "DROP TRIGGER published_added",
        "DROP TRIGGER published_changed",
        "DROP TRIGGER published_removed",
        "DROP TABLE published_from",
        "CREATE INDEX published_by_site ON published (site)",
    ),
)
