"""The guard on the log must be able to fail a test, and to be told that an ERROR is expected."""

from __future__ import annotations

from pathlib import Path

import pytest

pytest_plugins = ["pytester"]
pytestmark = pytest.mark.expects_error_log  # the inner run logs into the outer one
QUIET = ("-p", "no:cacheprovider")


@pytest.fixture
def guarded(pytester: pytest.Pytester) -> pytest.Pytester:
    pytester.makeini("[pytest]\nasyncio_default_fixture_loop_scope = function\n")
    pytester.makeconftest((Path(__file__).parent / "conftest.py").read_text(encoding="utf-8"))
    return pytester


def test_an_error_in_the_log_fails_the_test(guarded: pytest.Pytester) -> None:
    guarded.makepyfile(
        "import logging\n\n"
        "def test_it():\n    logging.getLogger('club').error('the disk is full')\n"
    )
    result = guarded.runpytest_inprocess(*QUIET)
    result.assert_outcomes(passed=1, errors=1)
    result.stdout.fnmatch_lines(["*ERROR in the log: club: the disk is full*"])


def test_a_warning_in_the_log_and_an_expected_error_pass(guarded: pytest.Pytester) -> None:
    guarded.makepyfile(
        "import logging, pytest\n\n"
        "def test_warning():\n    logging.getLogger('club').warning('slow')\n\n"
        "@pytest.mark.expects_error_log\n"
        "def test_expected():\n    logging.getLogger('club').error('on purpose')\n"
    )
    guarded.runpytest_inprocess(*QUIET).assert_outcomes(passed=2)
