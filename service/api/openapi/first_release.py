"""Keys that were required in the first release, 0.1.0, by the name of their object.

What is kept for years must still fit the document: where a quote and its answer are given back,
these keys are required and no newer one. An object that isn't here requires nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

_KEYS = """
AccessRequest: distance
AllowanceTable: cost description
AreaEarth: cut fill name
AssumptionAnswer: field value why
CapAnswer: from_station length to_station units
CautionAnswer: code severity source text
CompactionTable: efficiency layers passes travel_per_minute width
ConditionTable: choices neutral title
CoordinatesRequest: easting northing
CornerPart: angle kind side
CourseAnswer: elevation number runs
CrewAnswer: crew days hours how paid_hours title
CrewTable: item paid_hours_per_day size title
CurvePart: kind side
CycleTable: load seconds
DeliveredAnswer: mass not_weighed
EarthworkAnswer: backfill cut fill grading haul_loads haul_off how import import_loads reused
  walls
EndsEarth: backfill cut
EquipmentAnswer: days hours hours_high hours_low how machine title
ExtraRequest: cost description kind
FixedTable: crew hours id per title
GridRequest: existing spacing
GroundPair: elevation offset
HandStripTable: width
HiredTable: day
ItemPriceBody: per
LaborAnswer: crew_days crews equipment labor_hours labor_hours_high labor_hours_low replaced tasks
LegAnswer: corner_units face_length from_station standard_units to_station
MachineTable: title
MachineTaskTable: id machine measured_by per title
NotPricedAnswer: field part why
OrderAnswer: phases trenches working_days
OrderTable: lost_day_probability open_trench_days shortest_stretch
OwnedTable: item
PhaseAnswer: after crews critical finish_day hours how machines materials phase start_day title
PhaseCrewAnswer: crew days
PhaseMachineAnswer: first_day hours last_day machine
PlaneRequest: at fall level toward
PriceAnswer: added_to_reach_minimum by_wall complete contingency deposit direct_cost discount how
  lines margin not_priced overhead profit site_wide subtotal tax total
PriceLineAnswer: cost description group how item kind per price quantity taxable unit_cost
PriceListRef: id revision
PriceSource: item override
ProfileEntryRequest: front_grade station
QuantityAnswer: description group how item net order waste
QuoteAnswer: assumptions catalog_version cautions currency delivered digest engine_version
  materials_only price quantities units walls
QuoteRequest: prices section units wall_system walls
RangeTable: high likely low
RatesBody: crews
ReplacedAnswer: by code machine task why
RunAnswer: corner_units face_length from_station legs standard_units to_station
SiteWorkRequest: task
SoilVolume: state unit value
Source: kind
StepAnswer: courses station
StraightPart: kind length
SurveyRequest: boundary points units
TaskAnswer: crew hours hours_high hours_low how quantity task title
TaskTable: crew hours id measured_by per title
TaxTable: rate
TopsoilAnswer: replaced short stripped surplus
TopsoilRequest: replace strip
TreeRequest: distance
TrenchAnswer: how length open_days stretches wall
TruckTable: payload title volume
WallAnswer: caps courses exposed_area face_area length max_exposed_height max_wall_height name
  pay_face_area steps
WallEarth: backfill cut cut_slope deepest_cut deepest_station disturbed_area ends fill how
  slope_by wall
WallPrice: price wall
WallRequest: plan profile
WeatherAnswer: expected_days how likely_days lost_day_probability working_days
"""
FIRST_REQUIRED: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        name: frozenset(keys.split())
        for name, _, keys in (
            line.partition(":") for line in _KEYS.replace("\n  ", " ").strip().splitlines()
        )
    }
)
