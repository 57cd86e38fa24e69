// Every JSON call of the service, typed by what openapi-typescript makes of its document.
// Each operation that was answered well is printed by its id; anything else ends the run.
import createClient from "openapi-fetch";
import type { components, paths } from "./schema.js";
import { readmeRequest } from "./readme.js";

type Schemas = components["schemas"];
const client = createClient<paths>({
  baseUrl: process.argv[2],
  headers: { Authorization: `Bearer ${process.argv[3]}` },
});

interface Outcome<T> {
  data?: T;
  error?: unknown;
  response: Response;
}

function told<T>(operation: string, outcome: Outcome<T>): NonNullable<T> {
  if (!outcome.response.ok || outcome.data === undefined || outcome.data === null) {
    const { status } = outcome.response;
    throw new Error(`${operation}: ${status} ${JSON.stringify(outcome.error)}`);
  }
  console.log(operation);
  return outcome.data;
}

function done(operation: string, outcome: { error?: unknown; response: Response }): void {
  if (!outcome.response.ok) throw new Error(`${operation}: ${JSON.stringify(outcome.error)}`);
  console.log(operation);
}

function tagOf(outcome: { response: Response }): string {
  return outcome.response.headers.get("etag") ?? "";
}

async function quotes(): Promise<void> {
  const quote = told("quote_walls", await client.POST("/v1/quotes", { body: readmeRequest }));
  // The field is answered without a price.
  if (!("price" in quote)) throw new Error("no price");
  const total: string = quote.price?.total ?? "";
  const net: string | undefined = quote.quantities[0]?.net.value;
  if (!/^\d+\.\d\d$/.test(total) || net === undefined) throw new Error(`total ${total}, ${net}`);

  const batch = await client.POST("/v1/quotes/batch", { body: [readmeRequest, readmeRequest] });
  const answers = told("quote_batch", batch);
  // Lines are answered by lines, an array by items.
  if (!("items" in answers) || answers.items.length !== 2) throw new Error("batch");
  for (const item of answers.items) {
    if (!("quote" in item) || !("price" in item.quote)) throw new Error("batch");
    if (item.quote.price?.total !== total) throw new Error("batch");
  }
  const comparison: Schemas["ComparisonRequest"] = {
    quote: readmeRequest,
    alternatives: [{ wall_system: "garden_6in" }],
  };
  told("compare_quotes", await client.POST("/v1/comparisons", { body: comparison }));
  const refused = await client.POST("/v1/quotes", {
    body: { ...readmeRequest, wall_system: "none_such" },
  });
  if (refused.error?.code !== "unknown-wall-system") throw new Error("refusals have a type");
}

async function prices(): Promise<void> {
  const list = { path: { id: "own_yard" } };
  const whole: Schemas["WholeRequest"] = {
    currency: "USD",
    effective_from: "2026-01-01",
    items: {
      block: { unit_cost: "6.85", per: "each", supplier: "Yard" },
      gravel: { unit_cost: "33.00", per: "yd3" },
    },
  };
  const first = await client.POST("/v1/price-lists/{id}/revisions", {
    params: { ...list, header: { "If-None-Match": "*" } },
    body: whole,
  });
  told("publish_price_list", first);
  const raised: Schemas["ChangesRequest"] = {
    effective_from: "2026-02-01",
    changes: [{ set: { gravel: { unit_cost: "34.00", per: "yd3" } } }],
  };
  const second = await client.POST("/v1/price-lists/{id}/revisions", {
    params: { ...list, header: { "If-Match": tagOf(first) } },
    body: raised,
  });
  told("publish_price_list", second);
  const mapping: Schemas["ColumnMapping"] = { columns: { item: "Article", unit_cost: "Net" } };
  told(
    "save_column_mapping",
    await client.PUT("/v1/price-lists/{id}/column-mapping", {
      params: { ...list, header: { "If-None-Match": "*" } },
      body: mapping,
    }),
  );
  told(
    "read_column_mapping",
    await client.GET("/v1/price-lists/{id}/column-mapping", { params: list }),
  );
  const file = "Article,Net,per\nblock,7.10,each\n";
  const preview = told(
    "import_price_file",
    await client.POST("/v1/price-lists/{id}/imports", {
      params: { ...list, query: { effective_from: "2026-03-01", format: "csv" } },
      body: file,
      bodySerializer: (text: string) => text,
      headers: { "Content-Type": "application/octet-stream" },
    }),
  );
  if (!("changed_total" in preview) || preview.changed_total !== 1) throw new Error("import");

  told("list_price_lists", await client.GET("/v1/price-lists", { params: { query: { limit: 2 } } }));
  told(
    "list_price_list_revisions",
    await client.GET("/v1/price-lists/{id}/revisions", { params: list }),
  );
  told(
    "read_price_list_revision",
    await client.GET("/v1/price-lists/{id}/revisions/{revision}", {
      params: { path: { ...list.path, revision: "2" } },
    }),
  );
  told(
    "read_latest_price_list_revision",
    await client.GET("/v1/price-lists/{id}/revisions/latest", { params: list }),
  );
  const difference = told(
    "read_price_list_difference",
    await client.GET("/v1/price-lists/{id}/revisions/{revision}/difference/{other}", {
      params: { path: { ...list.path, revision: "1", other: "2" } },
    }),
  );
  if (difference.changed[0]?.item !== "gravel") throw new Error("difference");
}

// Material alone for a low wall: complete, and nothing in it calls for an engineer.
const low: Schemas["QuoteRequest"] = {
  ...readmeRequest,
  materials_only: true,
  walls: [
    {
      plan: [{ kind: "straight", length: "20 ft" }],
      profile: [
        { station: "0 ft", top: "2 ft", front_grade: "0 ft" },
        { station: "end", top: "2 ft", front_grade: "0 ft" },
      ],
    },
  ],
};

async function savedQuotes(): Promise<void> {
  const saved = told(
    "save_quote",
    await client.POST("/v1/saved-quotes", {
      params: { header: { "Idempotency-Key": "first-save" } },
      body: { quote: { ...readmeRequest, issued_on: "2026-05-04" }, customer: { name: "A. Buyer" } },
    }),
  );
  const path = { id: saved.id };
  const one = { params: { path } };
  const revision = { params: { path: { ...path, revision: "1" } } };
  const latest = await client.GET("/v1/saved-quotes/{id}/revisions/{revision}", {
    params: { path: { ...path, revision: "latest" } },
  });
  const kept = told("read_quote_revision", latest);
  if (kept.answer.price?.total !== saved.facts.total) throw new Error("kept answers have a type");
  told(
    "revise_saved_quote",
    await client.POST("/v1/saved-quotes/{id}/revisions", {
      params: { path, header: { "If-Match": tagOf(latest) } },
      body: { quote: { ...low, issued_on: "2026-05-05" } },
    }),
  );
  for (const state of ["issued", "accepted"] as const) {
    const now = await client.GET("/v1/saved-quotes/{id}/state", one);
    told("read_quote_state", now);
    told(
      "set_quote_state",
      await client.POST("/v1/saved-quotes/{id}/state", {
        params: { path, header: { "If-Match": tagOf(now) } },
        body: { state, on: "2026-05-06" },
      }),
    );
  }
  const customer = await client.GET("/v1/saved-quotes/{id}/customer", one);
  told("read_quote_customer", customer);
  // One ETag for everything that changes the quote.
  const match = async () => {
    const now = await client.GET("/v1/saved-quotes/{id}", one);
    told("read_saved_quote", now);
    return { "If-Match": tagOf(now) };
  };
  done(
    "put_quote_customer",
    await client.PUT("/v1/saved-quotes/{id}/customer", {
      params: { path, header: await match() },
      body: { name: "B. Buyer", phone: "555-0100" },
    }),
  );
  told(
    "put_quote_metadata",
    await client.PUT("/v1/saved-quotes/{id}/metadata", {
      params: { path, header: await match() },
      body: { metadata: { crm: "8841" } },
    }),
  );
  const beside = told(
    "read_quote_metadata",
    await client.GET("/v1/saved-quotes/{id}/metadata", one),
  );
  if (beside.metadata.crm !== "8841") throw new Error("metadata");
  told(
    "put_quote_notes",
    await client.PUT("/v1/saved-quotes/{id}/notes", {
      params: { path, header: await match() },
      body: { notes: "Call first." },
    }),
  );
  told("read_quote_notes", await client.GET("/v1/saved-quotes/{id}/notes", one));
  const links = { params: { path: { ...path, revision: "2" } } };
  const shown = await client.POST("/v1/saved-quotes/{id}/revisions/{revision}/links", {
    ...links,
    body: { kind: "crew_sheet" },
  });
  const link = told("make_link", shown);
  if (!link.url?.includes("/q/")) throw new Error("make_link shows no address");
  const all = await client.GET("/v1/saved-quotes/{id}/revisions/{revision}/links", links);
  if (told("list_links", all).items[0]?.id !== link.id) throw new Error("links");
  done(
    "end_link",
    await client.DELETE("/v1/saved-quotes/{id}/revisions/{revision}/links/{link_id}", {
      params: { path: { ...path, revision: "2", link_id: link.id } },
    }),
  );
  done("erase_quote_customer", await client.DELETE("/v1/saved-quotes/{id}/customer", one));
  const accepted = { path: { ...path, revision: "2" } };
  told(
    "put_quote_actuals",
    await client.PUT("/v1/saved-quotes/{id}/revisions/{revision}/actuals", {
      params: { ...accepted, header: await match() },
      body: { hours: { set_units: "31.5" }, quantities: { terrace_8in: "215" } },
    }),
  );
  const actuals = told(
    "read_quote_actuals",
    await client.GET("/v1/saved-quotes/{id}/revisions/{revision}/actuals", { params: accepted }),
  );
  if (actuals.actuals.hours?.set_units !== "31.5") throw new Error("actuals");
  const listed = await client.GET("/v1/saved-quotes", { params: { query: { limit: 50 } } });
  told("list_saved_quotes", listed);
  told("list_quote_revisions", await client.GET("/v1/saved-quotes/{id}/revisions", one));
  told(
    "read_revision_quote",
    await client.GET("/v1/saved-quotes/{id}/revisions/{revision}/quote", revision),
  );
  told(
    "read_revision_answer",
    await client.GET("/v1/saved-quotes/{id}/revisions/{revision}/answer", revision),
  );
  told(
    "read_recomputation",
    await client.GET("/v1/saved-quotes/{id}/revisions/{revision}/recomputed", revision),
  );
  told(
    "read_quote_difference",
    await client.GET("/v1/saved-quotes/{id}/revisions/{revision}/difference/{other}", {
      params: { path: { ...path, revision: "1", other: "2" } },
    }),
  );
  const offered = told(
    "make_document",
    await client.POST("/v1/documents/{kind}", {
      params: { path: { kind: "customer_quote" }, query: { format: "json" } },
      body: { quote: low },
    }),
  );
  if (typeof offered === "string" || !offered.materials_only) throw new Error("document");
  told(
    "read_quote_document",
    await client.GET("/v1/saved-quotes/{id}/revisions/{revision}/documents/{kind}", {
      params: { path: { ...path, revision: "2", kind: "customer_quote" }, query: { format: "json" } },
    }),
  );
}

// Quotes that older releases kept: the reference says which.
async function keptByReleases(): Promise<void> {
  for (const reference of process.argv.slice(4)) {
    const { data } = await client.GET("/v1/saved-quotes", { params: { query: { reference } } });
    const id = data?.items[0]?.id ?? "";
    const { data: kept } = await client.GET("/v1/saved-quotes/{id}/revisions/{revision}", {
      params: { path: { id, revision: "1" } },
    });
    const answer = kept?.answer;
    const wall: string | undefined = answer?.walls[0]?.name;
    const cost: string | undefined = answer?.price?.lines[0]?.cost;
    const plan = kept?.quote.walls[0]?.plan[0];
    if (!wall || !cost || plan === undefined || "kept-" + answer?.engine_version !== reference) {
      throw new Error(`${reference} can't be read`);
    }
    console.log(`${reference} ${answer?.price?.total}`);
  }
}

async function repricings(): Promise<void> {
  const body: Schemas["RepricingRequest"] = { price_list: "demo_2026", margin_floor: "0.10" };
  const run = told("create_repricing", await client.POST("/v1/repricings", { body }));
  const one = { params: { path: { id: run.id } } };
  told("read_repricing", await client.GET("/v1/repricings/{id}", one));
  told("list_repricings", await client.GET("/v1/repricings", {}));
  told("list_repricing_items", await client.GET("/v1/repricings/{id}/items", one));
  // A preview wrote nothing that could be issued.
  const issued = await client.POST("/v1/repricings/{id}/issue", {
    ...one,
    body: { on: "2026-05-06" },
  });
  if (issued.error?.status !== 409) throw new Error("issue_repricing");
  console.log("issue_repricing");
  // What is over can't be cancelled: a problem, with its type.
  const cancelled = await client.DELETE("/v1/repricings/{id}", one);
  if (cancelled.error?.code !== "repricing-finished") throw new Error("cancel_repricing");
  console.log("cancel_repricing");
}

async function keys(): Promise<void> {
  const body = { name: "crew", scopes: ["field" as const] };
  const made = told("make_api_key", await client.POST("/v1/api-keys", { body }));
  if (!made.key?.startsWith("wqkey_")) throw new Error("make_api_key shows no key");
  const one = { params: { path: { id: made.id } } };
  told("read_api_key", await client.GET("/v1/api-keys/{id}", one));
  told("list_api_keys", await client.GET("/v1/api-keys", {}));
  const changed = { ...one, body: { overlap: "0d" } };
  told("rotate_api_key", await client.POST("/v1/api-keys/{id}/rotate", changed));
  done("end_api_key", await client.DELETE("/v1/api-keys/{id}", one));
}

async function webhooks(): Promise<void> {
  const body = { url: "https://crm.example/hooks", types: ["quote.saved" as const] };
  const made = told("create_webhook", await client.POST("/v1/webhooks", { body }));
  if (!made.secret?.startsWith("whsec_")) throw new Error("create_webhook shows no secret");
  const one = { params: { path: { id: made.id } } };
  const read = await client.GET("/v1/webhooks/{id}", one);
  told("read_webhook", read);
  told("list_webhooks", await client.GET("/v1/webhooks", {}));
  const replaced = await client.PUT("/v1/webhooks/{id}", {
    params: { ...one.params, header: { "If-Match": tagOf(read) } },
    body: { ...body, types: ["lead.received"] },
  });
  told("replace_webhook", replaced);
  const rotated = await client.POST("/v1/webhooks/{id}/rotate", { ...one, body: {} });
  told("rotate_webhook_secret", rotated);
  const test = told("test_webhook", await client.POST("/v1/webhooks/{id}/test", one));
  const sent = await client.GET("/v1/webhooks/{id}/deliveries", one);
  told("list_webhook_deliveries", sent);
  const again = await client.POST("/v1/webhooks/{id}/deliveries/{delivery}/redeliver", {
    params: { path: { id: made.id, delivery: test.id } },
  });
  told("redeliver_to_webhook", again);
  done("end_webhook", await client.DELETE("/v1/webhooks/{id}", one));
}

async function website(): Promise<void> {
  const body = {
    name: "website",
    scopes: ["website" as const],
    website: "demo_site",
    origins: ["https://www.example.com"],
  };
  const { data: made } = await client.POST("/v1/api-keys", { body });
  const visitor = createClient<paths>({
    baseUrl: process.argv[2],
    headers: { Authorization: `Bearer ${made?.key}` },
  });
  const form = told("read_website_form", await visitor.GET("/v1/website/form", {}));
  const answers = {
    length: "40",
    height: "3",
    behind: "level",
    in_front: "level",
    above: "lawn",
    now: "bank",
    way_in: "drive_in",
    water: "runs_off",
  };
  const lead = { email: "a.example@example.com", consent: true };
  const asked = { form_version: form.form_version, answers, lead };
  const answer = told(
    "estimate_price_range",
    await visitor.POST("/v1/website/price-range", { body: asked }),
  );
  if (!("range" in answer) || answer.reference === undefined) throw new Error("no range");
  const one = { params: { path: { id: answer.reference } } };
  told("read_lead", await client.GET("/v1/leads/{id}", one));
  told("list_leads", await client.GET("/v1/leads", {}));
  told("quote_lead", await client.POST("/v1/leads/{id}/quote", { ...one, body: {} }));
  done("delete_lead", await client.DELETE("/v1/leads/{id}", one));
}

async function catalog(): Promise<void> {
  const soils = told("list_soils", await client.GET("/v1/soils", {}));
  told("read_soil", await client.GET("/v1/soils/{id}", at(soils.items[0])));
  const systems = told("list_wall_systems", await client.GET("/v1/wall-systems", {}));
  told("read_wall_system", await client.GET("/v1/wall-systems/{id}", at(systems.items[0])));
  const sections = told("list_sections", await client.GET("/v1/sections", {}));
  told("read_section", await client.GET("/v1/sections/{id}", at(sections.items[0])));
  const materials = told("list_materials", await client.GET("/v1/materials", {}));
  told("read_material", await client.GET("/v1/materials/{id}", at(materials.items[0])));
  const rates = told("list_production_rates", await client.GET("/v1/production-rates", {}));
  told("read_production_rates", await client.GET("/v1/production-rates/{id}", at(rates.items[0])));
  const work = told("list_site_work", await client.GET("/v1/site-work", {}));
  told("read_site_work", await client.GET("/v1/site-work/{id}", at(work.items[0])));
  const terms = told("list_terms", await client.GET("/v1/terms", {}));
  told("read_terms", await client.GET("/v1/terms/{id}", at(terms.items[0])));
  const bases = told("list_screening_bases", await client.GET("/v1/screening-bases", {}));
  told("read_screening_basis", await client.GET("/v1/screening-bases/{id}", at(bases.items[0])));
  const loads = told("list_loads", await client.GET("/v1/loads", {}));
  told("read_load", await client.GET("/v1/loads/{id}", at(loads.items[0])));
  const places = told("list_jurisdictions", await client.GET("/v1/jurisdictions", {}));
  told("read_jurisdiction", await client.GET("/v1/jurisdictions/{id}", at(places.items[0])));
  told("reload_catalog", await client.POST("/v1/catalog/reload", { body: {} }));
  told("list_events", await client.GET("/v1/events", {}));
  told("read_live", await client.GET("/health/live"));
  told("read_ready", await client.GET("/health/ready"));
  told("read_metrics", await client.GET("/metrics", { parseAs: "text" }));
}

function at(entry: { id: string } | undefined): { params: { path: { id: string } } } {
  return { params: { path: { id: entry?.id ?? "" } } };
}

await quotes();
await prices();
await savedQuotes();
await keptByReleases();
await repricings();
await keys();
await webhooks();
await website();
await catalog();
