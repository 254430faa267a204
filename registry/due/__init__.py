"""What is due and why: month arithmetic, rules, obligations, and the visits they add up to."""

from registry.due.months import add_months
from registry.due.pump_out_table import pump_out_years

__all__ = ["add_months", "pump_out_years"]
