"""An option of the published tests: write the pages of validation and calibration."""

from __future__ import annotations

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--write-docs",
        action="store_true",
        default=False,
        help="write docs/validation.md and docs/calibration.md from the published tests",
    )


@pytest.fixture(scope="session")
def write_docs(pytestconfig: pytest.Config) -> bool:
    """Whether the pages are to be written and not only compared."""
    # asked for with a default: the option is not known to a run that begins in another folder
    return bool(pytestconfig.getoption("--write-docs", default=False))
