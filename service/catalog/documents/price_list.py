"""`price_lists/<id>.toml`: what suppliers ask, by item. The bodies are also read from requests."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from types import MappingProxyType
from typing import TYPE_CHECKING, Annotated, Final, Literal

from pydantic import Field, ValidationInfo, field_validator

from service.catalog.documents.currency import CurrencyCode, minor_places
from service.catalog.documents.entry import HeadedDocument
from service.catalog.documents.wage import Burden
from service.core.job.price_list import PRICED_PER, DeliveryTerms, ItemPrice, PriceList
from service.core.job.section import Group
from service.core.money import hour_cost
from service.fields import (
    Id,
    IsoDate,
    LongText,
    Mass,
    MoneyText,
    ShortText,
    StrictModel,
    TableOf,
    UnitCostText,
    refused,
)

# The closed list of the core, which published schemas spell out.
if TYPE_CHECKING:
    PricedPer = str
else:
    PricedPer = Literal[PRICED_PER]
MOST_ITEMS = 100_000
MOST_SUPPLIERS = 200
MOST_REVISION: Final = 1_000_000_000
Revision = Annotated[int, Field(ge=1, le=MOST_REVISION)]


class ItemPriceBody(StrictModel):
    """Cost of one `per` of an item: `unit_cost`, or `wage` and `burden` of an hour."""

    per: PricedPer
    wage: UnitCostText | None = Field(None, description="What one person is paid for an hour.")
    burden: Burden = None
    unit_cost: UnitCostText | None = Field(None, validate_default=True)
    description: ShortText | None = None
    supplier: ShortText | None = None
    group: Group | None = None
    note: LongText | None = None
    stock: bool | None = Field(
        None, description="Kept in stock: what is used is charged, no whole pack."
    )
    supplier_item: ShortText | None = Field(
        None, description="The number under which the supplier knows it, for his order."
    )

    @field_validator("wage")
    @classmethod
    def _wage_per_hour(cls, value: Decimal | None, info: ValidationInfo) -> Decimal | None:
        """A wage is paid for an hour."""
        if value is not None and info.data.get("per", "h") != "h":
            raise refused("wage-not-hourly", f'is paid per h, but per is "{info.data["per"]}"')
        return value

    @field_validator("unit_cost")
    @classmethod
    def _one_cost(cls, value: Decimal | None, info: ValidationInfo) -> Decimal | None:
        """A cost is stated once."""
        if "wage" in info.data and (value is None) == (info.data["wage"] is None):
            raise refused(
                "cost-unclear",
                "an item needs either unit_cost or wage, and not both",
                'such as unit_cost = "7.10"',
            )
        return value

    def to_core(self) -> ItemPrice:
        """The core's price; a wage with its burden is rounded to six places, half up."""
        return ItemPrice(
            unit_cost=self._cost(),
            per=self.per,
            description=self.description,
            supplier=self.supplier,
            group=self.group,
            note=self.note,
            stock=self.stock,
            supplier_item=self.supplier_item,
        )

    def _cost(self) -> Decimal:
        if self.unit_cost is not None:
            return self.unit_cost
        _, cost = hour_cost(self.wage or Decimal(0), self.burden or Decimal(0))
        return cost


class DeliveryBody(StrictModel):
    """What a supplier asks to bring what is ordered. Sums are in the list's currency."""

    per_load: MoneyText = Field(description="Cost of one load.")
    load_weight: Mass | None = Field(None, description="What one load may weigh.")
    load_pallets: Annotated[int, Field(ge=1, le=1000)] | None = Field(
        None, description="How many pallets one load may hold."
    )
    minimum_order: MoneyText | None = Field(
        None, description="Cost of goods below which an order is charged a sum on top."
    )
    below_minimum: MoneyText | None = Field(
        None, validate_default=True, description="What is charged for an order below the minimum."
    )
    pallet_deposit: MoneyText | None = Field(None, description="Deposit for each pallet.")
    lead_days: Annotated[int, Field(ge=0, le=365)] | None = Field(
        None, description="Days from the order to the delivery."
    )

    @field_validator("below_minimum")
    @classmethod
    def _below_a_minimum(cls, value: Decimal | None, info: ValidationInfo) -> Decimal | None:
        """What is charged below a minimum needs one."""
        if value is not None and info.data.get("minimum_order", value) is None:
            raise refused("minimum-missing", "needs a minimum_order to stay below")
        return value

    def to_core(self) -> DeliveryTerms:
        """The core's terms."""
        return DeliveryTerms(
            per_load=self.per_load,
            load_mass_kg=self.load_weight,
            load_pallets=self.load_pallets,
            minimum_order=self.minimum_order or Decimal(0),
            below_minimum=self.below_minimum or Decimal(0),
            pallet_deposit=self.pallet_deposit or Decimal(0),
            lead_days=self.lead_days,
        )


class PriceListBody(StrictModel):
    """Costs by item in one currency."""

    currency: CurrencyCode
    items: TableOf[Id, ItemPriceBody] = Field(max_length=MOST_ITEMS)

    def to_core(self, *, entry_id: str | None = None, revision: int | None = None) -> PriceList:
        """The core's price list; without id and revision the costs came inline."""
        return PriceList(
            id=entry_id,
            revision=revision,
            currency=self.currency,
            minor_places=minor_places(self.currency),
            items=MappingProxyType({item: price.to_core() for item, price in self.items.items()}),
            delivery=MappingProxyType(
                {supplier: terms.to_core() for supplier, terms in self._delivery().items()}
            ),
            effective_from=self._effective_from(),
        )

    def _delivery(self) -> Mapping[str, DeliveryBody]:
        """Delivery by supplier; costs that come inline have none."""
        return {}

    def _effective_from(self) -> date | None:
        """Costs that come inline hold at any time."""
        return None


class RevisionBody(PriceListBody):
    """What one revision of a price list says, wherever it is kept."""

    effective_from: IsoDate
    delivery: TableOf[ShortText, DeliveryBody] = Field(
        default_factory=dict,
        max_length=MOST_SUPPLIERS,
        description="What bringing the goods costs, by supplier as named at the items.",
    )

    def _delivery(self) -> Mapping[str, DeliveryBody]:
        return self.delivery

    def _effective_from(self) -> date | None:
        return self.effective_from


class PriceListDocument(RevisionBody, HeadedDocument):
    """One immutable revision of a price list that lives in the catalog."""

    revision: Revision = Field(description="A changed file needs a higher one.")

    def to_core(self, *, entry_id: str | None = None, revision: int | None = None) -> PriceList:
        """The core's price list under the file's own id and revision."""
        return RevisionBody.to_core(
            self, entry_id=entry_id or self.id, revision=revision or self.revision
        )
