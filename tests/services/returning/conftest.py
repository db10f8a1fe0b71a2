"""A property with prices of water and of labour, and who asks."""

import pytest

from faults.prices.engines.pricing import Charge
from sites.kernel.engines.roles import Role
from sites.models import Property, User
from tests import make, make_prices, make_water


@pytest.fixture
def manager(db: None) -> User:
    return make.user(Role.WATER_MANAGER)


@pytest.fixture
def place(db: None) -> Property:
    make_water.climate()
    made = make.place(climate_table="Valley")
    make_water.tariff(made)
    make_prices.price_list({Charge.TRACING: 60})
    return made
