"""A browser, a checker of accessibility and one of HTML for the slow tests of the pages.

Where one cannot be had its tests are skipped and say so; with ORCHARDCAL_CI set they fail instead.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from tests.clients.programs import missing, ran

HERE = Path(__file__).resolve().parent
Looked = Callable[..., list[dict[str, Any]]]


@pytest.fixture(scope="session")
def npm_tools(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with playwright-core, axe-core and the Nu HTML checker from npm, and our scripts."""
    if shutil.which("npm") is None or shutil.which("node") is None:
        missing("node and npm are needed to look at pages in a browser")
    folder = tmp_path_factory.mktemp("browser")
    packages = ("playwright-core@1", "axe-core@4", "vnu-jar@26")
    fetched = ran("npm", "install", "--no-audit", "--no-fund", *packages, cwd=folder)
    if fetched.returncode:
        missing(f"npm could not fetch {packages}: {fetched.stderr[-300:]}")
    for script in ("look.mjs", "measure.mjs"):
        shutil.copy(HERE / script, folder)
    return folder


@pytest.fixture(scope="session")
def looked(npm_tools: Path) -> Looked:
    """Looks at addresses with Chromium and returns what it saw, one entry for each way to look."""
    browser = shutil.which("chromium")
    if browser is None:
        missing("Chromium is not installed (Debian: chromium)")

    def look(*addresses: str, pdf: Path | None = None) -> list[dict[str, Any]]:
        order = json.dumps(
            {"browser": browser, "addresses": addresses, "pdf": str(pdf) if pdf else ""}
        )
        done = ran("node", npm_tools / "look.mjs", order, cwd=npm_tools)
        assert done.returncode == 0, done.stderr[-2000:]
        seen: list[dict[str, Any]] = json.loads(done.stdout)
        return seen

    return look


@pytest.fixture(scope="session")
def nu_checker(npm_tools: Path) -> Callable[[Path], str]:
    """What the W3C's Nu HTML checker finds wrong in the files of a folder."""
    if shutil.which("java") is None:
        missing("java is needed for the Nu HTML checker (Debian: default-jre-headless)")
    jar = npm_tools / "node_modules" / "vnu-jar" / "build" / "dist" / "vnu.jar"

    def check(folder: Path) -> str:
        files = sorted(folder.rglob("*.html"))
        assert files
        return ran("java", "-Xmx512m", "-jar", jar, "--format", "gnu", *files).stderr

    return check


@pytest.fixture(scope="session")
def demo_pages(tmp_path_factory: pytest.TempPathFactory, repository: Path) -> Path:
    """The pages of the demo programme, and of the invented plan, as files in a folder."""
    from orchardcal.commands.programme import load
    from orchardcal.outputs.page.pages import pages
    from orchardcal.outputs.page.site_facts import site_facts
    from orchardcal.outputs.speech import Speech
    from orchardcal.pipeline import plan_programme, site_seasons
    from tests.outputs.page.invented_facts import written

    as_of = date(2026, 11, 25)
    loaded = load(repository / "demo_sites")
    plan = plan_programme(loaded.programme, loaded.weather, loaded.rules, (), (), None, as_of)
    facts = {
        site.key: site_facts(
            site_seasons(site, loaded.weather[site.key], loaded.rules, (), None, as_of)
        )
        for site in loaded.programme.sites
    }
    folder = tmp_path_factory.mktemp("pages")
    nasty = written("<b>حديقة</b> 🍎 ")
    for place, files in (("demo", dict(pages(plan, facts, Speech()))), ("invented", nasty)):
        for path, page in files.items():
            target = folder / place / path
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(page)
    return folder
