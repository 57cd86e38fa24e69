"""`materials/<item>.toml`: how an item is sold, what it weighs, how much must be delivered."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Annotated

from pydantic import Field, ValidationInfo, field_validator

from service.catalog.documents.entry import EntryDocument, SourcedTable, agree, difference
from service.catalog.documents.reinforcement import SheetTable
from service.core.job.material import Material, Pack
from service.core.job.price_list import PackWord
from service.core.job.section import Group
from service.core.measure import UNITS, Dimension, Unit
from service.fields import (
    Density,
    FactorText,
    JsonObject,
    Mass,
    Reader,
    StrictModel,
    UnitSymbol,
    refused,
)
from service.units import MeasurementInvalidError, found, read_amount

# What an item of a group is counted in; other groups are free.
GROUP_DIMENSION: Mapping[str, Dimension] = {
    "units": "count",
    "stone": "volume",
    "pipe": "length",
    "fabric": "area",
    "adhesive": "count",
    "reinforcement": "area",
}


class Amount(Reader):
    """An exact amount in a unit in which something is sold, more than 0: `"0.5 ton"`."""

    def read(self, value: object) -> tuple[Decimal, Unit]:
        """The figure and its unit."""
        try:
            amount, unit = read_amount(value)
        except MeasurementInvalidError as error:
            raise refused("amount-invalid", error.message, error.hint) from None
        if not amount:
            raise refused("amount-invalid", f"{found(value)} must be more than 0")
        return amount, unit

    def schema(self) -> JsonObject:
        """Text with a unit."""
        return {
            "type": "string",
            "maxLength": 40,
            "pattern": rf"^[0-9]{{1,12}}(?:\.[0-9]{{1,12}})? (?:{'|'.join(UNITS)})$",
            "description": "Amount with the unit in which something is sold; more than 0.",
            "examples": ["0.5 ton", "50 ft", "24 each"],
        }


SoldAmount = Annotated[tuple[Decimal, Unit], Amount()]


class InPlaceTable(SourcedTable):
    """From the volume in place to the volume that is delivered."""

    loose_per_in_place: FactorText = Field(
        description="Volume to be delivered for one volume in place."
    )


class WeightTable(SourcedTable):
    """Weight: of the loose volume for what is delivered loose, of one piece or pack otherwise."""

    loose: Density | None = Field(None, description="Of the volume as delivered.")
    each: Mass | None = Field(
        None, description="Of one of what sold.per says: a piece, a foot, a pack."
    )


class SoldTable(StrictModel):
    """How the yard sells it."""

    per: UnitSymbol = Field(description="The unit of its price.")
    increment: SoldAmount | None = Field(
        None, description="Orders are rounded up to it; in the unit of `per`."
    )
    pack: SoldAmount | None = Field(
        None, validate_default=True, description='Content of a pack, with per = "pack".'
    )
    pack_word: PackWord | None = Field(
        None, validate_default=True, description='What a pack is called, with per = "pack".'
    )

    @field_validator("increment")
    @classmethod
    def _increment_as_sold(
        cls, value: tuple[Decimal, Unit] | None, info: ValidationInfo
    ) -> tuple[Decimal, Unit] | None:
        """The increment is in the unit of sale: the order then comes out exactly."""
        per = info.data.get("per")
        if value is None or per is None or value[1].symbol == per:
            return value
        if per == "pack":
            raise refused("increment-not-sold", "a pack has no increment; packs are whole")
        raise refused(
            "increment-not-sold",
            f"is in {value[1].symbol}, but the item is sold per {per}",
            f"an amount in {per}",
        )

    @field_validator("pack", "pack_word")
    @classmethod
    def _packs_are_told(cls, value: object, info: ValidationInfo) -> object:
        """What is sold by the pack says what a pack holds and is called; nothing else does."""
        per = info.data.get("per")
        if per == "pack" and value is None:
            hint = 'pack = "50 ft" and pack_word = "roll"'
            raise refused("pack-incomplete", 'is needed with per = "pack"', hint)
        if per not in (None, "pack") and value is not None:
            raise refused("pack-unused", f'belongs to per = "pack", but per is "{per}"')
        return value


class MaterialDocument(EntryDocument):
    """An item as it is sold. Without a file an item is sold as it is counted."""

    group: Group
    volume: InPlaceTable | None = None
    sold: SoldTable
    weight: WeightTable | None = Field(None, validate_default=True)
    reinforcement: SheetTable | None = None
    stock: bool = Field(
        default=False, description="Kept in stock: what is used is charged, no whole pack."
    )
    open_graded: bool = Field(
        False, description="Stone without fines: soft ground enters its voids."
    )

    @field_validator("sold")
    @classmethod
    def _sold_as_counted(cls, value: SoldTable, info: ValidationInfo) -> SoldTable:
        """An item is sold in what its group is counted in; stone also by weight."""
        counted = GROUP_DIMENSION.get(str(info.data.get("group")))
        sold = value.pack[1].dimension if value.pack else UNITS[value.per].dimension
        if counted is None or sold == counted:
            return value
        if counted == "volume" and sold == "mass" and not value.pack:
            return value
        named = {"count": "by the piece", "volume": "by volume", "length": "by length"}
        key = "pack" if value.pack else "per"
        raise refused(
            "sold-not-counted",
            f"items of group {info.data['group']} are counted {named.get(counted, 'by area')}",
            _fitting(counted, packed=value.pack is not None),
            at=(key,),
        )

    @field_validator("weight")
    @classmethod
    def _weight_fits(cls, value: WeightTable | None, info: ValidationInfo) -> WeightTable | None:
        """A volume sold by weight needs its weight; a weight per piece needs a piece."""
        sold: SoldTable | None = info.data.get("sold")
        if sold is None:
            return value
        by_mass = sold.per in ("ton", "t")
        if by_mass and info.data.get("group") == "stone" and (value is None or value.loose is None):
            raise refused(
                "weight-missing",
                f"is needed: the item is measured by volume and sold per {sold.per}",
                'such as loose = "2700 lb/yd3"',
                at=("loose",),
            )
        if by_mass and value is not None and value.each is not None:
            message = f"has no meaning for what is sold per {sold.per}"
            raise refused("weight-unused", message, 'loose = "2700 lb/yd3"', at=("each",))
        return value

    @field_validator("reinforcement")
    @classmethod
    def _rolls_are_sold(cls, value: SheetTable | None, info: ValidationInfo) -> SheetTable | None:
        """Sheets are of their group and sold by the roll, whose content is that of its sides."""
        if value is None:
            return value
        if info.data.get("group", "reinforcement") != "reinforcement":
            message = f"belongs to group reinforcement, not {info.data['group']}"
            raise refused("reinforcement-group", message, 'group = "reinforcement"')
        sold: SoldTable | None = info.data.get("sold")
        if sold is None:
            return value
        roll = value.roll_width * value.roll_length
        if sold.pack is None:
            hint = 'per = "pack", with the area of a roll as pack'
            raise refused("roll-not-sold", "is cut from whole rolls: sold.pack is needed", hint)
        content = float(sold.pack[0] * sold.pack[1].si)
        if not agree(content, roll):
            raise refused(
                "roll-area-disagrees",
                f"roll_width x roll_length differs from sold.pack by {difference(content, roll)}",
                "sides that give the area of a roll within 2 %",
            )
        return value

    def to_core(self) -> Material:
        """The core's material; weights per SI unit."""
        sold, weight = self.sold, self.weight
        packed = sold.pack is not None and sold.pack_word is not None
        return Material(
            id=self.id,
            version=self.version,
            title=self.title,
            group=self.group,
            sold_per=None if packed else UNITS[sold.per],
            increment=sold.increment[0] if sold.increment else None,
            pack=self._pack(),
            loose_per_in_place=float(self.volume.loose_per_in_place) if self.volume else 1.0,
            loose_kg_m3=weight.loose if weight else None,
            kg_per_unit=self._kg_per_unit(),
            reinforcement=self.reinforcement.to_core() if self.reinforcement else None,
            stock=self.stock,
            open_graded=self.open_graded,
        )

    def _pack(self) -> Pack | None:
        sold = self.sold
        if sold.pack is None or sold.pack_word is None:
            return None
        content, unit = sold.pack
        return Pack(content=content, unit=unit, word=sold.pack_word)

    def _kg_per_unit(self) -> float | None:
        if self.weight is None or self.weight.each is None:
            return None
        pack = self._pack()
        return self.weight.each / (pack.content_si if pack else float(UNITS[self.sold.per].si))


def _fitting(counted: Dimension, *, packed: bool) -> str:
    """Units in which an item of a dimension may be sold."""
    offered = [unit.symbol for unit in UNITS.values() if unit.dimension == counted]
    if packed:
        return f"the content of a pack in {' or '.join(offered)}"
    return f"per one of {' '.join(offered)} or pack"
