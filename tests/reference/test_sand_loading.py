"""Loading of sand filters: Washington's large systems and Oregon; area a hole.

Status: verified in WAC 246-272B-06750 (4), OAR 340-071-0295 (2)(a) and (b), Kitsap County Policy 18
§2.4 and the University of Minnesota's pressure distribution form.
"""

import pytest

from registry.errors import RangeError
from registry.hydraulics import (
    LOADING_RULES,
    area_needed_ft2,
    area_per_hole_ft2,
    loading,
    loading_gpd_ft2,
)


def test_oregons_360_and_250_square_feet_are_450_gallons_at_its_limits():
    assert area_needed_ft2(450, 1.25, least_ft2=360) == pytest.approx(360)
    assert area_needed_ft2(450, 1.80, least_ft2=250) == pytest.approx(250)
    assert loading_gpd_ft2(450, 360) == pytest.approx(1.25)
    assert loading_gpd_ft2(450, 250) == pytest.approx(1.80)


def test_more_than_450_gallons_need_more_than_the_least_area():
    assert area_needed_ft2(600, 1.25, least_ft2=360) == pytest.approx(480)
    assert area_needed_ft2(300, 1.25, least_ft2=360) == 360


def test_the_limits_are_those_of_the_rules():
    assert [rule.limit_gpd_ft2 for rule in LOADING_RULES] == [1.0, 1.25, 1.80]


def test_one_loading_may_hold_by_one_rule_and_not_by_another():
    told = loading(400, 360)
    over = {rule.name for rule, share in told.share_of_limit if share > 1}
    assert over == {"Washington, large systems"}


def test_the_filled_pressure_bed_form_has_ten_square_feet_a_hole():
    assert area_per_hole_ft2(10 * 63, 63) == pytest.approx(10.0)


def test_an_area_of_nothing_is_refused():
    with pytest.raises(RangeError, match="area_ft2 is 0"):
        loading(100, 0)
