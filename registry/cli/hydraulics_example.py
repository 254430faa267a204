"""The invented field that ``riserway hydraulics example`` prints, ready to be changed."""

EXAMPLE = """\
# An invented field: change the figures to those of yours. Lengths in feet, sizes in inches.

[supply]                 # pump and transport pipe
pump = [[0, 40], [20, 37], [40, 30], [60, 18], [75, 5]]   # gpm and feet, from the pump's curve
lift_ft = 27             # from low water in the pump tank up to the laterals
pipe = 2                 # nominal, Schedule 40; series = "SDR 21", or pipe_in for the inside
length_ft = 100
# fittings_factor = 1.25, c = 150

[manifold]
pipe = 2

[[lateral]]
label = "1"
holes = 20               # or length_ft from the first hole to the last
spacing_ft = 2
hole_in = 0.125
pipe = 1
lead_ft = 3              # from valve to first hole
tail_ft = 2              # from last hole to the purge end
rise_ft = 1              # the purge end's mouth over the lateral
at_ft = 0                # along the manifold from where the supply comes in
turns_open = 2.5         # of full_turns; or open_share, or has_valve = false

[[lateral]]
label = "2"
holes = 20
pipe = 1
lead_ft = 3
tail_ft = 2
rise_ft = 1
at_ft = 5
raised_ft = 0.1
turns_open = 2.5

[[lateral]]
label = "3"
holes = 20
pipe = 1
lead_ft = 3
tail_ft = 2
rise_ft = 1
at_ft = 10
raised_ft = 0.2
turns_open = 2.5

[purge]
pipe_volumes = 2         # how often each lateral's water is turned over
shuts_others = true      # the other valves are shut meanwhile

[squirt]                 # all measured with the same valves; 0 = not measured
heights_in = [71, 70, 77]
pump_gpm = 24.7          # by drawdown at the same time, if known
full_turns = 5

[tank]                   # the pump tank; heights from its floor
length_in = 84
width_in = 48
level_in = 28.5
off_in = 28
on_in = 34
alarm_in = 38
inlet_in = 60
hose_gpm = 5
dose_gal = 100
drain_back_gal = 14
flow_gpd = 240

[flow]                   # what counter, hour meter and drawdown say
gal_per_in = 17.45
drop_in = 7.5
minutes = 4
rate_before_gpm = 36
counter_before = 45850
counter_after = 46210
dose_in = 6
hours_before = 192.6
hours_after = 212.0
days = 120
drain_back_ft = 80
pipe = 2
design_flow_gpd = 450
area_ft2 = 360

[solids]                 # scum and sludge as a share of the liquid depth
dates = ["2022-06-01", "2024-06-03", "2026-06-02"]
solids_share = [0.0, 0.09, 0.19]
limit_share = 0.25
liquid_depth_in = 48
sludge_in = 6
scum_in = 3
sludge_to_outlet_in = 20
scum_to_outlet_in = 4

[squirt_series]
dates = ["2023-06-01", "2024-06-03", "2025-06-05", "2026-06-02"]
heights_in = [62, 60, 56, 52]

[well]                   # from the top of the pipe down to the water
dates = [
  "2024-02-01", "2024-05-01", "2024-08-01", "2024-11-01",
  "2025-02-01", "2025-05-01", "2025-08-01", "2025-11-01",
]
depths_in = [34, 41, 55, 46, 33, 40, 54, 47]
"""
