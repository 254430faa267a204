"""The formulas by name: what each takes, where it comes from, where it holds, who disagrees."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Formula:
    """One formula as it is shown beside its results and in docs/hydraulics.md."""

    name: str
    says: str
    inputs: str
    source: str
    holds: str
    disagrees: str = ""


FORMULAS = {
    key: Formula(*row)
    for key, row in {
        "orifice": (
            "Orifice",
            "Q = 11.79 · d² · √h",
            "d in, h ft → gpm",
            "Otis 1981, from memory; reproduces N.J.A.C. 7:9A-9.7, NAC 445A.969, "
            "University of Minnesota form",
            "free discharge, 1/8 to 1/2 in holes, 1 to 6 ft",
            "New Jersey's half-foot rows are 1.3 to 1.7 % higher; Minnesota's 3/16 in "
            "column up to 1.4 %",
        ),
        "friction": (
            "Pipe friction",
            "hf = 1044.65 · (Q/C)^1.852 · D^−4.8704 per 100 ft",
            "Q gpm, D inside in, C → ft",
            "Hazen-Williams, from memory; tested against 77 Ill. Adm. Code 906 app. A exhibit I",
            "full plastic pipe, turbulent; within 10 % of Colebrook",
            "Minnesota's pump form takes C = 130 and the nominal size: +53 % at 36 gpm in"
            " 2 in. Average instead of least wall: +8 % at 1 in",
        ),
        "heads": (
            "Heads of a network",
            "H pump = lift + supply + manifold + valve + lateral + head at the hole",
            "pump curve, lengths, sizes → ft at every hole",
            "N.J.A.C. 7:9A-9.7: Ht = Hf + He + Hp; tested against SciPy's root finder",
            "steady flow, full pipes, level laterals",
            "",
        ),
        "pump curve": (
            "Pump curve",
            "monotone cubic through the points",
            "gpm and ft of each point → ft",
            "Fritsch and Butland 1984, from memory; tested against SciPy",
            "between the first and the last point; straight on beyond",
            "",
        ),
        "valve": (
            "Gate valve part open",
            "h = K · v²/2g; K = 24, 4.5, 0.9, 0.17 at 1/4, 1/2, 3/4, fully open",
            "open share → velocity heads",
            "handbook table, read in a copy",
            "a first try, to be measured again; below 1/4 open a guess",
            "another textbook prints 17, 2.1, 0.26, 0.15",
        ),
        "scour": (
            "Scouring",
            "v ≥ 2 ft/s at the purge end",
            "gpm, inside in → ft/s",
            "from memory for laterals; 15A NCAC 18C .0603 for intake conduits",
            "the least flow in the lateral is that at its end",
            "",
        ),
        "purge": (
            "Purge water",
            "t = n · V / Q end; gallons = Q pump · t",
            "pipe volumes, gpm → s, gal",
            "1.5 to 2 pipe volumes: common practice, no source",
            "one end open at a time",
            "",
        ),
        "evenness": (
            "Evenness",
            "q max / q min − 1 ≤ 10 % along a lateral, 15 % over all; squirt 21 % and 32 %",
            "heads at the holes → share of the least",
            "Kitsap County Board of Health Ordinance 2008-01, Policy 18, §1.1.1",
            "equal holes; heights as shares of the lowest",
            "as shares of the highest the same limits are 19 % and 28 %",
        ),
        "explain": (
            "What a pattern fits",
            "least root mean square of measured less computed squirt heights, one cause at a time",
            "squirt in, drawdown gpm → cause and amount",
            "heads as above; the causes are common practice, no source",
            "one cause; two together may look like a third",
            "",
        ),
        "balance": (
            "Balancing",
            "the highest common squirt height with no valve beyond open",
            "squirt in, open shares → turns",
            "heads as above; a quarter turn at a time: common practice, no source",
            "a first try, measured again after each turn",
            "published losses of part-open valves differ up to three and a half times",
        ),
        "tank": (
            "Gallons per inch",
            "L · W / 231; π/4 · D² / 231; chord · L / 231",
            "inside in → gal/in",
            "geometry, 1 gal = 231 in³",
            "upright walls; a lying tank's differs from depth to depth",
            "forms take 7.5 gal/ft³ (+0.26 %) or round feet first (up to 2 %)",
        ),
        "drawdown": (
            "Drawdown rate",
            "inches · gal/in / minutes",
            "in, gal/in, min → gpm",
            "manual in the archive of Marion County, Oregon, steps 14 to 18",
            "inflow stopped",
            "",
        ),
        "flow": (
            "Daily flow",
            "counts · gal per dose / days; hours · 60 · gpm / days",
            "counter, hour meter, days → gpd",
            "Onsite Arithmetic, trade journal, 2015 and 2016",
            "the two must agree within 10 % (common practice, no source)",
            "with or without drain-back: both are shown",
        ),
        "float drop": (
            "Float drop",
            "(dose + drain-back) / gal per inch",
            "gal, gal/in → in",
            "University of Minnesota pump tank form",
            "upright walls",
            "least dose 4 pipe volumes (Minnesota), about 10 (Nevada), 5 to 10 (mound "
            "practice, from memory)",
        ),
        "reserve": (
            "Reserve at alarm",
            "gallons from alarm to inlet / gpd · 24",
            "gal, gpd → h",
            "volume over flow",
            "use as usual",
            "Oklahoma asks for one day's flow (OAC 252:641-9-3)",
        ),
        "compartments": (
            "Two compartments",
            "2 : 1",
            "gal → gal, gal",
            "common practice, no source",
            "two-compartment tanks",
            "Washington allows 1/2 to 2/3 in the first (WAC 246-272A-0232, 2005 text)",
        ),
        "solids": (
            "Scum and sludge",
            "straight line through the shares of depth; band of 9 in 10",
            "dates, shares → date",
            "least squares; limits Minn. R. 7080.2450, SPS 383.54",
            "since the last pump-out; measured solids override any forecast",
            "25 % (Minnesota, EPA) against 1/3 (Wisconsin); scum 2 in (Massachusetts), 3 "
            "(Minnesota), 6 (EPA)",
        ),
        "squirt trend": (
            "Squirt height since start-up",
            "1 − now / start-up; over 20 % purge and brush",
            "dates, in → share, in a year",
            "from memory (guides of Rhode Island and Washington)",
            "same valves, same pump state",
            "",
        ),
        "well": (
            "Monitoring well against the season",
            "line and one yearly wave",
            "dates, in → in a year beyond the season",
            "least squares; one swing a year: common practice, no source",
            "six readings over more than a year",
            "",
        ),
        "loading": (
            "Loading",
            "gpd / ft²",
            "gpd, ft² → gpd/ft²",
            "WAC 246-272B-06750 (4); OAR 340-071-0295 (2)",
            "flow that reaches the sand, drain-back taken off",
            "1.0 (Washington, large systems), 1.25 and 1.80 (Oregon)",
        ),
    }.items()
}
"""Key → formula; the table of docs/hydraulics.md is held to it."""
