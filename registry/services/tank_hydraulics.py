"""A tank's and a field's readings worked out: flows, doses, reserve, loading, solids, trends."""

from datetime import date

from registry.due.pump_out_triggers import TRIGGERS, pump_out_verdict
from registry.errors import RangeError
from registry.hydraulics import (
    compartments_gal,
    counts_between,
    daily_flow_gpd,
    dose_to_field_gal,
    doses_a_day,
    drain_back_gal,
    drawdown_rate_gpm,
    float_drop_in,
    flow_use,
    flows_agree,
    hours_between,
    loading,
    lying_ellipse_gal,
    metered_flow_gpd,
    pipe_gal_per_ft,
    rate_change_share,
    rate_needs_a_look,
    reserve_h,
    solids_trend,
    squirt_trend,
    tank_volume_gal,
    well_trend,
)
from registry.hydraulics.field_given import tank_gal_per_in
from registry.hydraulics.given import Given, Section, section
from registry.services.field_hydraulics import Answer, Row, formulas


def flow_answer(figures: Section) -> Answer:
    """Return drawdown rate, daily flow both ways, use and loading from the section flow."""
    given = section(figures, "flow")
    days = given.number("days")
    results: Row = {}
    notes: list[str] = []
    gal_per_in = tank_gal_per_in(given)
    back_gal = 0.0
    drain_ft = given.number("drain_back_ft", 0.0)
    if drain_ft:
        back_gal = drain_back_gal(drain_ft, pipe_gal_per_ft(given.pipe_in()))
    results["drain_back_gal"] = back_gal
    rate = _rate(given, gal_per_in, results, notes)
    flows = [
        flow
        for flow in (
            _by_counter(given, gal_per_in, back_gal, days, results),
            _by_hours(given, rate, days, results),
        )
        if flow is not None
    ]
    if len(flows) == 2:
        results["ways_agree"] = flows_agree(*flows)
        if not flows_agree(*flows):
            notes.append("Counter and hour meter differ by more than 10 %: one of them is wrong.")
    design, area = given.maybe_number("design_flow_gpd"), given.maybe_number("area_ft2")
    given.check()
    if flows and design is not None:
        results["use"] = flow_use(flows[0], design)
    to_field = results.get("to_field_gpd", flows[0] if flows else None)
    rows: list[Row] = []
    if area is not None and isinstance(to_field, float):
        told = loading(to_field, area)
        results["loading_gpd_ft2"] = told.loading_gpd_ft2
        rows = [
            {"rule": rule.name, "limit_gpd_ft2": rule.limit_gpd_ft2, "share_of_limit": share,
             "source": rule.source}
            for rule, share in told.share_of_limit
        ]  # fmt: skip
    return Answer(results, rows, notes, formulas("flow", "drawdown", "tank", "loading"))


def _rate(given: Given, gal_per_in: float, results: Row, notes: list[str]) -> float | None:
    """Return the pump's rate by drawdown, and note how it moved."""
    drop, minutes = given.maybe_number("drop_in"), given.maybe_number("minutes")
    before = given.maybe_number("rate_before_gpm")
    if drop is None or minutes is None:
        return given.maybe_number("rate_gpm")
    rate = drawdown_rate_gpm(drop, gal_per_in, minutes)
    results |= {"gal_per_in": gal_per_in, "rate_gpm": rate}
    if before is not None:
        results["rate_change_share"] = rate_change_share(rate, before)
        if rate_needs_a_look(rate, before):
            notes.append("The rate moved by more than 15 %: look for the cause.")
    return rate


def _by_counter(
    given: Given, gal_per_in: float, back_gal: float, days: float, results: Row
) -> float | None:
    before, after = given.whole("counter_before"), given.whole("counter_after")
    digits, dose_in = given.whole("counter_digits"), given.maybe_number("dose_in")
    if before is None or after is None or dose_in is None:
        return None
    counts = counts_between(before, after, digits)
    dose_gal = tank_volume_gal(dose_in, gal_per_in)
    field_gal = dose_to_field_gal(dose_gal, back_gal)
    flow = daily_flow_gpd(float(counts), dose_gal, days)
    results |= {
        "counts": counts,
        "doses_a_day": doses_a_day(counts, days),
        "dose_gal": dose_gal,
        "by_counter_gpd": flow,
        "to_field_gpd": daily_flow_gpd(float(counts), field_gal, days),
    }
    return flow


def _by_hours(given: Given, rate: float | None, days: float, results: Row) -> float | None:
    before, after = given.maybe_number("hours_before"), given.maybe_number("hours_after")
    digits = given.whole("hours_digits")
    if before is None or after is None or rate is None:
        return None
    run_h = hours_between(before, after, digits)
    flow = metered_flow_gpd(run_h, rate, days)
    results |= {"run_h": run_h, "by_hours_gpd": flow}
    return flow


def tank_answer(figures: Section) -> Answer:
    """Return volumes, dose, float drop and reserve of the section tank."""
    given = section(figures, "tank")
    level = given.maybe_number("level_in")
    gal_per_in = tank_gal_per_in(given, level)
    results: Row = {"gal_per_in": gal_per_in}
    marks = {name: given.maybe_number(f"{name}_in") for name in ("off", "on", "alarm", "inlet")}
    dose, back = given.maybe_number("dose_gal"), given.number("drain_back_gal", 0.0)
    flow, liquid = given.maybe_number("flow_gpd"), given.maybe_number("liquid_gal")
    given.maybe_number("hose_gpm")
    lying = [given.maybe_number(f"lying_{side}_in") for side in ("width", "height", "length")]
    given.check()
    if level is not None:
        wide, high, long = lying
        results["volume_gal"] = (
            lying_ellipse_gal(wide, high, long, level)
            if wide is not None and high is not None and long is not None
            else tank_volume_gal(level, gal_per_in)
        )
    results |= _between(marks, gal_per_in, flow)
    if dose is not None:
        results["float_drop_in"] = float_drop_in(dose, gal_per_in, back)
    if liquid is not None:
        first, second = compartments_gal(liquid)
        results |= {"first_compartment_gal": first, "second_compartment_gal": second}
    return Answer(results, [], [], formulas("tank", "float drop", "reserve", "compartments"))


def _between(marks: dict[str, float | None], gal_per_in: float, flow: float | None) -> Row:
    """Return dose and reserve between the heights of floats and inlet."""
    off, on, alarm, inlet = (marks[name] for name in ("off", "on", "alarm", "inlet"))
    found: Row = {}
    if off is not None and on is not None:
        if on < off:
            raise RangeError("[tank]: on_in is below off_in. Measure both from the tank's floor.")
        found["dose_gal"] = (on - off) * gal_per_in
    if alarm is not None and inlet is not None:
        if inlet < alarm:
            raise RangeError("[tank]: inlet_in is below alarm_in. Measure both from the floor.")
        found["reserve_gal"] = (inlet - alarm) * gal_per_in
        if flow is not None:
            found["reserve_h"] = reserve_h((inlet - alarm) * gal_per_in, flow)
    return found


def series_answer(figures: Section) -> Answer:
    """Return what the sections solids, squirt_series and well say; one of them at least."""
    results: Row = {}
    rows: list[Row] = []
    if "solids" in figures:
        given = section(figures, "solids")
        told = solids_trend(
            given.dates("dates"), given.numbers("solids_share"), given.number("limit_share", 0.25)
        )
        readings = {
            kind.replace("_", " "): value
            for kind in ("liquid_depth", "sludge", "scum", "sludge_to_outlet", "scum_to_outlet")
            if (value := given.maybe_number(f"{kind}_in")) is not None
        }
        given.check()
        results |= {
            "solids_share": told.newest_share,
            "solids_per_year_share": told.per_year_share,
            "limit_on": _day(told.forecast.reached_on),
            "limit_earliest": _day(told.forecast.earliest),
            "limit_latest": _day(told.forecast.latest),
        }
        verdicts = [pump_out_verdict(readings, code) for code in TRIGGERS] if readings else []
        rows = [
            {"rule_set": code, "pump": one.pump, "why": one.why}
            for code, one in zip(TRIGGERS, verdicts, strict=False)
        ]
    if "squirt_series" in figures:
        given = section(figures, "squirt_series")
        squirt = squirt_trend(given.dates("dates"), given.numbers("heights_in"))
        given.check()
        results |= {
            "squirt_loss_share": squirt.loss_share,
            "squirt_per_year_in": squirt.per_year_in,
            "needs_brushing": squirt.needs_brushing,
        }
    if "well" in figures:
        given = section(figures, "well")
        well = well_trend(given.dates("dates"), given.numbers("depths_in"))
        given.check()
        results |= {
            "well_per_year_in": well.per_year_in,
            "well_within_in": well.within_in,
            "well_swing_in": well.swing_in,
            "well_moves": well.moves,
        }
    if not results:
        raise RangeError("Give one of the sections [solids], [squirt_series] and [well].")
    return Answer(results, rows, [], formulas("solids", "squirt trend", "well"))


def _day(on_date: date | None) -> str | None:
    return on_date.isoformat() if on_date else None
