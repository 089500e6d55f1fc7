from __future__ import annotations

import random

import pytest

from aftercase.model.base import NewId, id_source
from aftercase.session.places import Places, places


@pytest.fixture
def at() -> Places:
    return places()


@pytest.fixture
def new_id() -> NewId:
    return id_source(random.Random(20))
