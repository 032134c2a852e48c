"""Live oracles: heavy scientific packages, asked directly; they have an environment of their own.

Their tests are collected only where those packages are installed (`pip install .[oracles]`);
`.ci/run` installs them, runs `pytest -W default -m slow tests/oracles` (their own imports warn)
and fails if nothing was collected.
"""

from __future__ import annotations

from importlib.util import find_spec

collect_ignore_glob = [] if find_spec("xclim") and find_spec("pvlib") else ["test_*.py"]
