"use strict";
const byId = (id) => document.getElementById(id);
let examples = JSON.parse(byId("examples").textContent);
const asksForKey = document.body.dataset.keys === "asked";
// Shown with every call; forgotten with the page.
let key = "";
const drawings = ["plan", "elevation", "section", "earthwork_map", "order_of_work"];
const papers = {
  customer_quote: "Customer's quote", crew_sheet: "Crew sheet", supplier_order: "Supplier order",
  job_cost_sheet: "Job cost sheet", visit_sheet: "Visit sheet",
};
let turn = 0;
let waiting = 0;

// A text with its units as people write them: 2.5 yd3 is 2.5 yd³.
function signed(text) {
  const units = /(?<=\d |\bper )(in|ft|yd|mm|cm|m)([23])(?![\w/"'`])/g;
  return String(text).replace(units, (_, unit, power) => unit + { 2: "²", 3: "³" }[power]);
}

function element(name, text, attributes) {
  const made = document.createElement(name);
  if (text !== undefined) made.textContent = signed(text);
  Object.assign(made, attributes || {});
  return made;
}

async function send(path, body) {
  const shown = key ? { Authorization: `Bearer ${key}` } : {};
  const options = body === undefined ? { headers: shown } : {
    method: "POST",
    headers: { "Content-Type": "application/json", ...shown },
    body: JSON.stringify(body),
  };
  // From this page on: there may be a path in front of the service.
  const response = await fetch(`.${path}`, options);
  const isProblem = (response.headers.get("content-type") || "").startsWith("application/problem");
  return { ok: response.ok, response, problem: isProblem ? await response.json() : null };
}

function current() {
  try {
    return JSON.parse(byId("request").value);
  } catch (error) {
    byId("faults").replaceChildren(element("li", `The request is no JSON: ${error.message}`));
    return null;
  }
}

// A measure as text, or as a value whose unit stands in the title.
function place(title, holder, key) {
  const measure = holder[key];
  if (typeof measure === "string") return [[title, holder, key]];
  if (measure && typeof measure.value === "string") {
    return [[`${title}, ${measure.unit}`, measure, "value"]];
  }
  return [];
}

// The lengths and levels of the first wall, in the order in which one walks along it.
function places(quote) {
  const wall = (quote.walls || [])[0] || {};
  const found = [];
  (wall.plan || []).forEach((part, index) => {
    for (const key of ["length", "radius", "angle"]) {
      found.push(...place(`Part ${index + 1}, ${key}`, part, key));
    }
  });
  (wall.profile || []).forEach((entry, index) => {
    const at = typeof entry.station === "string" ? entry.station : `entry ${index + 1}`;
    for (const key of ["top", "front_grade", "back_grade", "existing_grade"]) {
      found.push(...place(`At ${at}: ${key.replace("_", " ")}`, entry, key));
    }
  });
  return found;
}

function showFields(quote) {
  const box = element("fieldset");
  box.append(element("legend", `Wall ${((quote.walls || [])[0] || {}).name || "1"}`));
  const fields = element("div", undefined, { className: "fields" });
  places(quote).forEach(([title, holder, key], index) => {
    const id = `field-${index}`;
    const label = element("label", title, { htmlFor: id });
    const input = element("input", undefined, { id, value: holder[key] });
    input.addEventListener("input", () => {
      holder[key] = input.value;
      byId("request").value = JSON.stringify(quote, null, 1);
      later();
    });
    const both = element("div");
    both.append(label, input);
    fields.append(both);
  });
  box.append(fields);
  byId("fields").replaceChildren(box);
}

function later() {
  clearTimeout(waiting);
  waiting = setTimeout(ask, 500);
}

async function ask() {
  const quote = current();
  if (quote === null) return;
  const mine = ++turn;
  byId("told").textContent = "Calculating";
  const { ok, response, problem } = await send("/v1/quotes", quote);
  if (mine !== turn) return;
  byId("told").textContent = ok ? "Calculated" : problem.title;
  showFaults(ok ? [] : problem.errors.length ? problem.errors : [{ message: problem.detail }]);
  if (!ok) {
    byId("total").textContent = "";
    return;
  }
  showAnswer(await response.json());
  for (const kind of drawings) await showDrawing(kind, quote, mine);
}

function showFaults(errors) {
  byId("faults").replaceChildren(...errors.map((fault) => {
    const place = fault.pointer ? `${fault.pointer}: ` : "";
    const hint = fault.hint ? ` (${fault.hint})` : "";
    return element("li", `${place}${fault.message}${hint}`);
  }));
}

async function showDrawing(kind, quote, mine) {
  const { ok, response } = await send(`/v1/documents/${kind}?format=svg`, { quote });
  if (mine !== turn) return;
  const id = `drawing-${kind}`;
  const old = byId(id);
  if (!ok) {
    if (old) old.remove();
    return;
  }
  const svg = await response.text();
  const title = new DOMParser().parseFromString(svg, "image/svg+xml").querySelector("title");
  const image = old || element("img", undefined, { id });
  image.alt = title ? title.textContent : kind;
  image.src = `data:image/svg+xml,${encodeURIComponent(svg)}`;
  if (!old) byId("drawings").append(image);
}

function table(caption, titles, rows) {
  const made = element("table");
  made.append(element("caption", caption));
  const head = element("tr");
  titles.forEach((title, index) => {
    head.append(element("th", title, { scope: "col", className: index ? "end" : "" }));
  });
  const top = element("thead");
  top.append(head);
  const body = element("tbody");
  for (const row of rows) {
    const line = element("tr");
    row.forEach((cell, index) => line.append(element("td", cell, { className: index ? "end" : "" })));
    body.append(line);
  }
  made.append(top, body);
  return made;
}

function showAnswer(answer) {
  const { price } = answer;
  showHeed(answer);
  // A key for the field sees no money.
  byId("total").textContent = "";
  byId("price").replaceChildren();
  if (price === undefined) return;
  const open = price.complete ? "" : ", not complete";
  byId("total").textContent = `${price.total} ${answer.currency}${open}`;
  const lines = price.lines.map((line) => [
    line.description, `${line.quantity.value} ${line.quantity.unit}`, line.cost, line.price,
  ]);
  lines.push(["Tax", "", "", price.tax], ["Total", "", "", price.total]);
  const heading = element("h2", "Price");
  const sums = table("Lines", ["What", "Quantity", "Cost", "Price"], lines);
  byId("price").replaceChildren(heading, sums);
}

function showHeed(answer) {
  const list = element("ul");
  for (const text of answer.screening.summary) list.append(element("li", text));
  for (const caution of [...answer.cautions, ...answer.always]) {
    list.append(element("li", caution.text));
  }
  byId("heed").replaceChildren(element("h2", "Heed"), list);
}

async function openPaper(kind) {
  const quote = current();
  if (quote === null) return;
  keepFile(kind, await send(`/v1/documents/${kind}?format=pdf`, { quote }));
}

async function keepFile(kind, { ok, response, problem }) {
  if (!ok) {
    byId("told").textContent = problem.detail || problem.title;
    showFaults(problem.errors.length ? problem.errors : [{ message: problem.detail }]);
    return;
  }
  const link = element("a", undefined, {
    href: URL.createObjectURL(await response.blob()), download: `${kind}.pdf`,
  });
  link.click();
  byId("told").textContent = `${papers[kind] || kind}: ${link.download}`;
}

async function showSaved() {
  const { ok, response } = await send("/v1/saved-quotes?limit=20");
  const items = ok ? (await response.json()).items : [];
  byId("saved").replaceChildren(...items.map((saved) => {
    const { facts } = saved;
    const name = facts.reference || facts.title || saved.id;
    const line = element("li", `${name}, ${saved.state}, ${facts.total} ${facts.currency}: `);
    for (const kind of ["customer_quote", "crew_sheet", "contract"]) {
      const path = `/v1/saved-quotes/${saved.id}/revisions/latest/documents/${kind}?format=pdf`;
      const button = element("button", kind.replace("_", " "), { type: "button" });
      button.addEventListener("click", async () => keepFile(kind, await send(path)));
      line.append(button, " ");
    }
    return line;
  }));
  if (!items.length) byId("saved").replaceChildren(element("li", ok ? "none yet" : "not for this key"));
}

function take(name) {
  byId("request").value = JSON.stringify(examples[name], null, 1);
  showFields(JSON.parse(byId("request").value));
  byId("drawings").replaceChildren();
  ask();
}

function begin() {
  byId("work").hidden = false;
  for (const [name, request] of Object.entries(examples)) {
    byId("example").append(element("option", request.title || name, { value: name }));
  }
  if (Object.keys(examples).length) take(Object.keys(examples)[0]);
  showSaved();
}

// With keys the page comes without examples: those of the API document are taken, if it is open.
async function unlock(event) {
  event.preventDefault();
  key = byId("key").value.trim();
  const { ok, problem } = await send("/v1/soils?limit=1");
  byId("refused").textContent = ok ? "" : problem.title;
  if (!ok) return;
  byId("unlock").hidden = true;
  const { ok: open, response } = await send("/openapi.json");
  if (open) {
    const content = (await response.json()).paths["/v1/quotes"].post.requestBody.content;
    const shown = Object.entries(content["application/json"].examples || {});
    examples = Object.fromEntries(shown.map(([name, example]) => [name, example.value]));
  }
  begin();
}

byId("example").addEventListener("change", (event) => take(event.target.value));
byId("request").addEventListener("change", () => {
  const quote = current();
  if (quote !== null) showFields(quote);
  later();
});
byId("ask").addEventListener("click", ask);
for (const [kind, title] of Object.entries(papers)) {
  const button = element("button", title, { type: "button" });
  button.addEventListener("click", () => openPaper(kind));
  byId("papers").append(button);
}
byId("unlock").addEventListener("submit", unlock);
byId("unlock").hidden = !asksForKey;
if (!asksForKey) begin();
