"""A small catalog whose figures go together, with places for those that tests change."""

from __future__ import annotations

YARDSTICK = """\
id = "stick"
version = "1"
title = "Yardstick"
[source]
kind = "invented"
[concrete]
usual = { least = "120 pcf", most = "150 pcf" }
possible = { least = "60 pcf", most = "190 pcf" }
[core_fill]
weight = "100 pcf"
[[rates]]
id = "dig"
title = "Dig by hand"
measured_by = "cut_volume"
by = "people"
hours = "1.2"
per = "yd3"
site_work = ["dig_here"]
[[rates]]
id = "carry"
title = "Carry"
measured_by = "carried_soil_volume"
by = "people"
hours = "0.5"
per = "yd3"
per_distance = "50 ft"
[[rates]]
id = "dig_by_machine"
title = "Dig by machine"
measured_by = "cut_volume"
by = "machine"
hours = { low = "0.09", likely = "0.1", high = "0.12" }
per = "yd3"
"""
CREEP = """\
[[creep]]
polymer = "polyester"
least = "1.6"
most = "2.5"
[[creep]]
polymer = "polypropylene"
least = "4.0"
most = "5.0"
"""
SHEET = """\
id = "sheet"
version = "1"
title = "Sheet"
group = "reinforcement"
[source]
kind = "invented"
[sold]
per = "pack"
pack = "900 ft2"
pack_word = "roll"
[reinforcement]
ultimate_strength = "3500 lb/ft"
roll_width = "6 ft"
roll_length = "150 ft"
{stated}
"""
# 18 x 8 x 12 in are 1 ft3 exactly; 0.25 ft3 of it are holes.
BLOCK = """\
id = "block"
version = "1"
title = "Block"
[source]
kind = "invented"
[units.standard]
item = "block"
face_length = "18 in"
height = "8 in"
depth = "12 in"
weight = "{weight}"
void_volume = "0.25 ft3"
per_pallet = 20
[stacking]
setback = "1 in"
[in_place]
unit_weight = "{laid}"
"""
RATES = """\
id = "rates"
version = "1"
title = "Rates"
[source]
kind = "invented"
[crews.crew]
title = "Crew"
item = "crew_hour"
size = 3
paid_hours_per_day = "8"
worked_share = "0.83"
[machines.loader]
title = "Loader"
weight = "6500 lb"
rated_load = "{lift}"
[machines.loader.owned]
item = "loader_hour"
[[tasks]]
id = "dig_by_hand"
title = "Dig by hand"
crew = "crew"
measured_by = "cut_volume"
hours = "{by_hand}"
per = "yd3"
[[tasks]]
id = "carry_by_hand"
title = "Carry by hand"
crew = "crew"
measured_by = "carried_soil_volume"
hours = "{carried}"
per = "yd3"
per_distance = "100 ft"
[[tasks]]
id = "break"
title = "Break pallets"
crew = "crew"
measured_by = "all_units"
hours = "0.01"
per = "each"
breaks_pallets = {broken}
[[machine_tasks]]
id = "dig"
title = "Dig"
machine = "loader"
measured_by = "cut_volume"
output = "{output}"
efficiency = "1"
per = "yd3"
[[machine_tasks]]
id = "load"
title = "Load"
machine = "loader"
measured_by = "haul_off_volume"
cycle = {{ load = "{load}", fill = "0.5", seconds = "60" }}
efficiency = "1"
per = "yd3"
"""
SITE = """\
id = "dig_here"
version = "1"
title = "Dig here"
phase = "rough_cut"
measured_by = "volume"
unit = "yd3"
[source]
kind = "invented"
[labor]
hours = "{labor}"
[machine]
id = "loader"
hours = "{machine}"
by_hand = "{by_hand}"
[same_work]
labor = ["dig_by_hand"]
machine = ["dig"]
by_hand = ["dig_by_hand", "break_ground"]
"""
SOUND_BLOCK = {"weight": "95 lb", "laid": "120 pcf"}
SOUND_RATES = {
    "lift": "2000 lb",
    "by_hand": "1.2",
    "carried": "1",
    "broken": "false",
    "output": "10",
    "load": "0.5 yd3",
}
SOUND_SITE = {"labor": "1.2", "machine": "0.1", "by_hand": "5"}
