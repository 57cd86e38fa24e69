"""Files with mistakes: which code stands for each, at which place below the file.

The twins of the files have the words; programs of callers go by the codes.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from service.catalog import CatalogInvalidError, read_catalog

INVALID = Path(__file__).parent / "invalid"
# Each file, and its faults in their order: the keys that lead there, and the code.
CODES: dict[str, tuple[tuple[str, str], ...]] = {
    "companies/half_paid": (
        ("language", "unknown-choice"),
        ("quote_number", "number-format-invalid"),
        ("logo", "file-name-invalid"),
        ("stages", "stages-incomplete"),
        ("if_we_find", "currency-missing"),
    ),
    "companies/logo_gone": (("logo", "logo-unfit"),),
    "jurisdictions/dust": (
        ("dust/tools", "tool-twice"),
        ("lifting/frequency", "rows-not-rising"),
    ),
    "jurisdictions/figures": (
        ("cautions/0/text", "figure-unmarked"),
        ("cautions/1/text", "figure-unmarked"),
    ),
    "jurisdictions/limits": (
        ("cautions/0", "limit-missing"),
        ("cautions/1", "limit-missing"),
        ("cautions/2/over", "measurement-invalid"),
        ("cautions/3/over", "limit-unused"),
        ("cautions/4/severity", "unknown-choice"),
        ("cautions/4/over", "limit-unused"),
        ("excavation/slope_B", "slope-invalid"),
    ),
    "jurisdictions/no_base": (("based_on", "base-unfit"),),
    "jurisdictions/silent": (
        ("soil_class", "table-missing"),
        ("grading", "table-missing"),
    ),
    "jurisdictions/slopes": (
        ("cautions/0/code", "code-invalid"),
        ("cautions/0/over", "measurement-invalid"),
        ("cautions/1", "limit-missing"),
        ("excavation/slope_A", "slope-invalid"),
        ("excavation/slope_B", "slope-invalid"),
        ("excavation/slope_C", "slope-invalid"),
    ),
    "jurisdictions/speaking": (
        ("cautions", "too-many-general"),
        ("cautions", "replaces-unfit"),
    ),
    "jurisdictions/tables": (
        ("cautions/0/over", "measurement-invalid"),
        ("cautions/0/replaces/0", "code-invalid"),
        ("cautions/1/over", "limit-unused"),
        ("tiers/add_heights_within", "within-invalid"),
        ("guard/reach", "measurement-out-of-range"),
        ("spoil/keep_back", "measurement-out-of-range"),
        ("dust/tools/0/tool", "unknown-choice"),
        ("dust/tools/1", "respirator-unclear"),
        ("lifting/per_minute", "decimal-invalid"),
        ("lifting/frequency/0/multiplier", "decimal-invalid"),
        ("seasons/frost/1", "out-of-range"),
        ("seasons/wet", "month-twice"),
        ("presumptive/lateral/0/groups", "too-short"),
        ("presumptive/lateral/0/active", "measurement-invalid"),
        ("presumptive/unsuitable/0", "unknown-choice"),
    ),
    "loads/words": (
        ("load", "measurement-invalid"),
        ("caution/1", "unknown-choice"),
        ("live", "unknown-key"),
        ("weight", "unknown-key"),
    ),
    "materials/amounts": (
        ("sold/increment", "increment-not-sold"),
        ("sold/pack", "amount-invalid"),
    ),
    "materials/increment": (("sold/increment", "increment-not-sold"),),
    "materials/pack_incomplete": (
        ("sold/pack", "pack-incomplete"),
        ("sold/pack_word", "pack-incomplete"),
    ),
    "materials/pack_of_pounds": (("sold/pack", "sold-not-counted"),),
    "materials/pack_unused": (
        ("sold/pack", "pack-unused"),
        ("sold/pack_word", "unknown-choice"),
    ),
    "materials/reinforcement": (
        ("reinforcement/ultimate_strength", "measurement-invalid"),
        ("reinforcement/damage_factor", "factor-below-one"),
    ),
    "materials/roll_not_sold": (("reinforcement", "roll-not-sold"),),
    "materials/sheet_of_fabric": (("reinforcement", "reinforcement-group"),),
    "materials/sold_by_area": (("sold/per", "sold-not-counted"),),
    "materials/unknown_unit": (
        ("group", "unknown-choice"),
        ("sold/per", "unknown-choice"),
    ),
    "materials/weight_missing": (("weight/loose", "weight-missing"),),
    "materials/weightless_ton": (("weight/each", "weight-unused"),),
    "price_lists/costs": (
        ("currency", "currency-unknown"),
        ("items/number/unit_cost", "number-not-text"),
        ("items/negative/unit_cost", "decimal-invalid"),
        ("items/twice/unit_cost", "cost-unclear"),
        ("items/nothing/unit_cost", "cost-unclear"),
        ("items/daily_wage/wage", "wage-not-hourly"),
        ("items/burden_alone/burden", "burden-without-wage"),
        ("items/bucket/per", "unknown-choice"),
        ("items/Capital", "id-invalid"),
        ("effective_from", "date-invalid"),
    ),
    "production_rates/currency_missing": (("crews/crew/wage", "currency-missing"),),
    "production_rates/idle": (
        ("crews/crew/paid_hours_per_day", "decimal-invalid"),
        ("crews/crew/worked_share", "out-of-range"),
        ("conditions/ground/choices/wet", "decimal-invalid"),
        ("tasks/0/conditions", "condition-twice"),
    ),
    "production_rates/references": (
        ("tasks/0/crew", "crew-unknown"),
        ("tasks/1/id", "id-twice"),
        ("tasks/0/conditions/0", "condition-unknown"),
        ("fixed/0/crew", "crew-unknown"),
    ),
    "production_rates/units": (
        ("crews/crew/size", "out-of-range"),
        ("crews/crew/paid_hours_per_day", "out-of-range"),
        ("crews/crew/worked_share", "worked-hour-unclear"),
        ("crews/digger/worked_share", "worked-hour-unclear"),
        ("crews/digger/burden", "burden-without-wage"),
        ("conditions/access/neutral", "choice-unknown"),
        ("conditions/ground/neutral", "neutral-not-1"),
        ("tasks/0/per", "unit-mismatch"),
        ("tasks/1/measured_by", "unknown-choice"),
        ("tasks/1/hours", "number-not-text"),
    ),
    "screening_bases/fhwa": (
        ("gravity/base_sliding", "number-not-text"),
        ("gravity/eccentricity", "decimal-invalid"),
        ("gravity/settlement", "unknown-key"),
        ("reinforced/bearing", "decimal-invalid"),
        ("wall/hinge_over", "measurement-invalid"),
        ("wall/plumb_under", "measurement-invalid"),
        ("beside", "field-missing"),
        ("layers/shortest", "measurement-invalid"),
        ("layers/soil_between", "field-missing"),
    ),
    "sections/choices": (
        ("embedment/share_of_exposed", "decimal-invalid"),
        ("drainage/starts_at", "unknown-choice"),
        ("waste/units", "share-not-meant"),
        ("waste/stone", "number-not-text"),
        ("waste/blocks", "unknown-key"),
        ("excavation/cut_slope", "slope-invalid"),
    ),
    "sections/falling_shares": (
        ("embedment/share_by_front_slope/flat", "slope-invalid"),
        ("embedment/share_by_front_slope/-3:1", "slope-invalid"),
        ("embedment/share_by_front_slope/3:1", "share-falls"),
        ("embedment/share_by_front_slope/50 %", "slope-twice"),
    ),
    "site_work/empty": (("disposal", "task-empty"),),
    "site_work/incomplete": (
        ("source", "field-missing"),
        ("measured_by", "field-missing"),
        ("labor/hours", "field-missing"),
        ("labor/per", "unknown-key"),
        ("wage", "unknown-key"),
    ),
    "site_work/units": (
        ("phase", "unknown-choice"),
        ("unit", "unit-mismatch"),
        ("conditions", "condition-twice"),
        ("labor/hours/likely", "range-falls"),
        ("machine/hours", "number-not-text"),
        ("machine/by_hand", "decimal-invalid"),
        ("materials/0/amount", "unit-mismatch"),
        ("disposal/0/what", "unknown-choice"),
        ("disposal/0/amount", "unit-mismatch"),
    ),
    "soils/strength": (
        ("strength/friction_angle", "angle-out-of-range"),
        ("excavation/class", "unknown-choice"),
        ("excavation/reusable", "wrong-type"),
    ),
    "soils/weights": (
        ("volume/swell", "weights-disagree"),
        ("volume/shrink", "weights-disagree"),
    ),
    "terms/allowances": (
        ("allowances/permit-height/cost", "number-not-text"),
        ("allowances/Street_Used", "code-invalid"),
        ("allowances/street-used/description", "field-missing"),
        ("allowances/street-used/kind", "unknown-choice"),
    ),
    "terms/allowances_currency": (("allowances", "currency-missing"),),
    "terms/kind_twice": (
        ("currency", "currency-invalid"),
        ("profit/margin", "profit-basis"),
        ("tax/on", "kind-twice"),
    ),
    "terms/ratios": (
        ("overhead", "number-not-text"),
        ("profit/margin", "profit-basis"),
        ("tax/on/0", "unknown-choice"),
        ("tax/base", "unknown-choice"),
        ("deposit", "decimal-invalid"),
        ("valid_days", "out-of-range"),
    ),
    "terms/sums": (
        ("overhead", "currency-missing"),
        ("minimum_charge", "currency-missing"),
    ),
    "wall_systems/bare_number": (("units/standard/height", "measurement-invalid"),),
    "wall_systems/face_area": (("units/standard/face_area", "face-area-disagrees"),),
    "wall_systems/missing_keys": (
        ("title", "field-missing"),
        ("source", "field-missing"),
        ("version", "field-missing"),
        ("units/standard/face_length", "field-missing"),
        ("units/standard/depth", "field-missing"),
        ("units/standard/height", "field-missing"),
        ("stacking", "field-missing"),
    ),
    "wall_systems/not_finite": (
        ("title", "text-invalid"),
        ("units/standard/face_length", "not-finite"),
        ("units/standard/height/value", "not-finite"),
    ),
    "wall_systems/not_toml": (("", "not-toml"),),
    "wall_systems/other_id": (("id", "id-not-file-name"),),
    "wall_systems/out_of_range": (
        ("units/standard/face_length", "measurement-out-of-range"),
        ("units/standard/per_pallet", "out-of-range"),
        ("units/corner/depth", "measurement-out-of-range"),
        ("stacking/setback", "measurement-out-of-range"),
        ("stacking/minimum_outside_radius", "measurement-invalid"),
        ("in_place/unit_weight", "measurement-invalid"),
    ),
    "wall_systems/overhang_too_large": (("units/cap/overhang", "overhang-too-large"),),
    "wall_systems/setback_too_large": (("stacking/setback", "setback-too-large"),),
    "wall_systems/source_incomplete": (
        ("source/edition", "source-incomplete"),
        ("source/where", "source-incomplete"),
        ("source/read_on", "source-incomplete"),
    ),
    "wall_systems/unknown_key": (("units/standard/hight", "unknown-key"),),
    "wall_systems/void_too_large": (("units/standard/void_volume", "void-too-large"),),
    "websites/half_said": (
        ("spread", "spread-uneven"),
        ("length/most", "bounds-crossed"),
        ("ground/bank_slope", "bank-level"),
        ("choices", "language-missing"),
        ("wall", "wrong-type"),
        ("quote", "walls-of-answers"),
        ("leads", "language-missing"),
    ),
    "what_ifs/no_wall": (("changes", "what-if-unclear"),),
    "what_ifs/two_values": (
        ("other_than", "wrong-type"),
        ("given", "place-invalid"),
        ("changes/0/above_top", "what-if-unclear"),
        ("changes/1/place", "place-invalid"),
        ("changes/1/above_top", "what-if-unclear"),
        ("changes/2/above_top", "what-if-unclear"),
    ),
    "yardsticks/figures": (
        ("concrete/usual/most", "range-falls"),
        ("rates/0/per", "unit-mismatch"),
        ("rates/0/by", "unknown-choice"),
    ),
}


@pytest.mark.parametrize("name", CODES)
def test_read_catalog_gives_each_mistake_its_code(name: str, tmp_path: Path) -> None:
    """A mistake has the code whose page explains it, at the key it is about."""
    (tmp_path / name).parent.mkdir()
    shutil.copy(INVALID / f"{name}.toml", (tmp_path / name).parent)
    with pytest.raises(CatalogInvalidError) as caught:
        read_catalog([tmp_path])
    found = [("/".join(map(str, fault.at[1:])), fault.code) for fault in caught.value.faults]
    assert found == list(CODES[name])


def test_every_invalid_file_has_its_codes() -> None:
    """A file that is dropped in says its codes here as well."""
    files = {f"{file.parent.name}/{file.stem}" for file in INVALID.rglob("*.toml")}
    assert files == CODES.keys()
