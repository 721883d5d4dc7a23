"""How hard hypothesis looks: a small budget in every run, a large one at night.

`HYPOTHESIS_PROFILE=nightly python -m pytest` asks every law for fifty times as many examples. `tests/mutation.py`
takes the profile `mutation`: the same examples every time, and a failing one is not made smaller.
"""

import os

from hypothesis import HealthCheck, Phase, settings

_SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large]

settings.register_profile("everyday", max_examples=100, deadline=None)
settings.register_profile("nightly", max_examples=5000, deadline=None, suppress_health_check=_SLOW)
settings.register_profile("mutation", max_examples=100, deadline=None, derandomize=True, database=None,
                          phases=[Phase.explicit, Phase.generate], suppress_health_check=_SLOW)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "everyday"))
