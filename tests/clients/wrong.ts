// What the compiler must refuse: each line below a mark is wrong. A mark without a fault is one.
import type { components } from "./schema.js";

type Prices = components["schemas"]["PricesRequest"];
type Whole = components["schemas"]["WholeRequest"];
type Request = components["schemas"]["QuoteRequest"];

export const asNumber: Prices = {
  // @ts-expect-error a price is text
  items: { block: { unit_cost: 7.1, per: "each" } },
};
export const withoutUnit: Prices = {
  // @ts-expect-error a price is for something
  overrides: { block: { unit_cost: "7.10" } },
};
export const misspelled: Prices = {
  // @ts-expect-error there is no such key
  items: { block: { unitcost: "7.10", per: "each" } },
};
export const published: Whole = {
  currency: "USD",
  effective_from: "2026-01-01",
  // @ts-expect-error a price is an object
  items: { block: "7.10" },
};
export const adjusted: components["schemas"]["ChangeRequest"] = {
  // @ts-expect-error a price is for something
  set: { block: { unit_cost: "7.10" } },
};
export const chosen: Pick<Request, "conditions"> = {
  // @ts-expect-error a choice is text
  conditions: { digging: 3 },
};
export const unitless: components["schemas"]["StraightPart"] = {
  kind: "straight",
  // @ts-expect-error a length has a unit
  length: 40,
};
