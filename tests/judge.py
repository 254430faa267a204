"""The judge of service days: the checker that comes with the generator of the published days.

``benchmarks/service_day.py`` of the reference data makes the days and judges plans; it shares no
code with this project.
"""

import importlib.util
from pathlib import Path
from types import ModuleType


def service_day(reference_data: Path) -> ModuleType:
    """Return the generator and checker of service days, from the folder of published data."""
    path = reference_data / "benchmarks" / "service_day.py"
    spec = importlib.util.spec_from_file_location("service_day", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
