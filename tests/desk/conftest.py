"""A desk for each module of tests."""

import pytest

from tests.desk.talking import Talker


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    return Talker(tmp_path_factory.mktemp("desk"))
