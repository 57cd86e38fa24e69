"use strict";
// Puts the form for a wall's price range at the place of its own <script data-key="…">, or makes
// the form of the service's own page answer without a reload. It asks its own origin alone.
(() => {
  const WORDS = "/*words*/";
  const STYLE = "/*style*/";
  const SVG = "http://www.w3.org/2000/svg";
  const SECONDS = 30;
  const me = document.currentScript;

  // A part of a page: texts are text, whatever is in them.
  function make(name, attributes, ...children) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes || {})) {
      if (value !== false && value !== undefined) made.setAttribute(key, value === true ? "" : value);
    }
    made.append(...children.filter((child) => child !== undefined));
    return made;
  }

  function said(words, name, figures) {
    return words[name].replace(/\{(\w+)\}/g, (_, key) => figures[key]);
  }

  // ---------------------------------------------------------------- the form of a schema
  const COMPLETED = { name: "name", email: "email", phone: "tel", postal_code: "postal-code" };

  function control(id, name, schema, value, words, unit) {
    const shared = { id, name, "aria-describedby": `${id}-hint ${id}-fault` };
    if (schema.oneOf) {
      const made = make("select", shared, make("option", { value: "" }, words.choose));
      for (const each of schema.oneOf) {
        made.append(make("option", { value: each.const, selected: each.const === value }, each.title));
      }
      return made;
    }
    if (schema.type === "boolean") {
      return make("input", { ...shared, type: "checkbox", value: "true", checked: value === true });
    }
    const own = { ...shared, maxlength: schema.maxLength, autocomplete: COMPLETED[name.split(".")[1]] };
    if (schema.maxLength > 500) {
      const made = make("textarea", own);
      made.value = value || "";
      return made;
    }
    const type = schema.format === "email" ? "email" : "text";
    const mode = (schema.pattern || "").includes("\\.") ? "decimal" : undefined;
    return make("input", { ...own, type, inputmode: mode, "data-unit": unit, value: value || "" });
  }

  function field(part, name, schema, required, value, words, unit) {
    const id = `wall-form-${part}-${name}`;
    const made = control(id, `${part}.${name}`, schema, value, words, unit);
    if (required) made.setAttribute("required", "");
    const marked = part === "answers" && !required;
    const title = marked ? `${schema.title} (${words.optional})` : schema.title;
    const label = make("label", { for: id }, title);
    const hint = make("p", { class: "hint", id: `${id}-hint` }, hintOf(schema, words));
    const fault = make("p", { class: "fault", id: `${id}-fault` });
    if (schema.type === "boolean") {
      return make("div", { class: "field" }, make("div", { class: "tick" }, made, label), hint, fault);
    }
    return make("div", { class: "field" }, label, hint, made, fault);
  }

  function hintOf(schema, words) {
    const example = (schema.examples || [])[0];
    const told = [schema.description || ""];
    if (!schema.oneOf && example !== undefined && schema.type !== "boolean") {
      told.push(said(words, "example", { example }));
    }
    return told.filter((text) => text).join(" ");
  }

  function group(laid, schema, values, words, units) {
    const made = make("fieldset", {}, make("legend", {}, laid.title));
    let place = made;
    if (laid.part === "lead") {
      place = make("details", {}, make("summary", {}, words.lead));
      place.append(make("p", { class: "hint" }, words.lead_about));
      made.append(place);
    }
    for (const name of laid.fields) {
      const required = (schema.required || []).includes(name);
      place.append(field(laid.part, name, schema.properties[name], required, values[name], words, units[name]));
    }
    return made;
  }

  function drawn(form, words) {
    const made = make("form", { novalidate: true });
    made.append(make("div", { class: "box faults", tabindex: "-1", role: "alert" }));
    for (const laid of form.layout) {
      made.append(laid.part === "lead" ? group(laid, form.lead_schema, {}, words, {})
        : group(laid, form.schema, form.defaults, words, form.units));
    }
    const trap = { id: "wall-form-trap", name: "website", tabindex: "-1", autocomplete: "off" };
    made.append(
      make("div", { class: "away", "aria-hidden": "true" },
        make("label", { for: trap.id }, words.trap), make("input", trap)),
      make("button", { type: "submit" }, words.send),
    );
    return made;
  }

  // ---------------------------------------------------------------- what was typed
  function typed(form, part) {
    const found = {};
    for (const each of form.elements) {
      if (!each.name || !each.name.startsWith(`${part}.`)) continue;
      const name = each.name.slice(part.length + 1);
      if (each.type === "checkbox") {
        if (each.checked) found[name] = true;
      } else if (each.value.trim()) {
        found[name] = each.value.trim();
      }
    }
    return found;
  }

  // The names of the fields that must be looked at again, each with what to say.
  function faultsOf(schema, values, words) {
    const found = {};
    for (const [name, property] of Object.entries(schema.properties)) {
      const value = values[name];
      if (value === undefined) {
        if ((schema.required || []).includes(name)) {
          found[name] = property.type === "boolean" ? words.consent : words.missing;
        }
      } else if (property.pattern && !new RegExp(property.pattern, "u").test(value)) {
        found[name] = words.unreadable;
      }
    }
    return found;
  }

  // Faults beside their fields, and all of them above the form, where the focus goes.
  function showFaults(form, faults, words) {
    for (const each of form.elements) {
      const place = each.id && form.querySelector(`#${CSS.escape(`${each.id}-fault`)}`);
      if (!place) continue;
      place.textContent = faults[each.name] || "";
      if (!faults[each.name]) {
        each.removeAttribute("aria-invalid");
        continue;
      }
      each.setAttribute("aria-invalid", "true");
      each.closest("details")?.setAttribute("open", "");
    }
    const list = make("ul");
    for (const each of form.elements) {
      if (!each.name || !faults[each.name]) continue;
      const label = form.querySelector(`label[for="${CSS.escape(each.id)}"]`).textContent;
      const link = make("a", { href: `#${each.id}` }, `${label} – ${faults[each.name]}`);
      link.addEventListener("click", (event) => {
        event.preventDefault();
        each.focus();
      });
      list.append(make("li", {}, link));
    }
    const box = form.querySelector(".faults");
    box.replaceChildren();
    if (list.children.length) {
      box.append(make("h2", {}, words.faults), list);
      box.focus();
    }
    return list.children.length > 0;
  }

  function notice(form, text) {
    const box = form.querySelector(".faults");
    box.replaceChildren(make("p", {}, text));
    box.focus();
  }

  // ---------------------------------------------------------------- the answer
  function money(text, currency, language) {
    const place = language === "es" && currency === "USD" ? "es-US" : language;
    return new Intl.NumberFormat(place, { style: "currency", currency }).format(text);
  }

  function listed(title, texts) {
    if (!texts || !texts.length) return [];
    return [make("h3", {}, title), make("ul", {}, ...texts.map((text) => make("li", {}, text)))];
  }

  function showAnswer(place, answer, words, language) {
    const parts = [];
    if (answer.visit) {
      parts.push(make("h2", {}, words.visit), make("p", {}, words.visit_about));
      parts.push(make("ul", {}, ...answer.visit.reasons.map((each) => make("li", {}, each.text))));
    } else {
      const { below, above, currency } = answer.range;
      const [low, high] = [below, above].map((each) => money(each, currency, language));
      parts.push(make("h2", {}, words.range));
      parts.push(make("p", { class: "price" }, said(words, "between", { below: low, above: high })));
    }
    parts.push(...listed(words.rests_on, answer.rests_on));
    parts.push(...listed(words.not_included, answer.not_included));
    parts.push(...listed(words.cautions, answer.cautions));
    if (answer.reference) parts.push(make("p", {}, said(words, "reference", answer)));
    place.replaceChildren(...parts);
    place.focus();
  }

  // ---------------------------------------------------------------- the sketch
  function shape(name, attributes, text) {
    const made = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    if (text !== undefined) made.textContent = text;
    return made;
  }

  const FOOT = 150;
  // What stands above the wall, from the side, on the ground at 0.
  const ABOVE = {
    patio: "M0 0v-4h40v4Z",
    driveway: "M0-4v-8h8l4-8h14l5 8h8v8h-6a4 4 0 0 1-8 0h-11a4 4 0 0 1-8 0Z",
    building: "M2 0v-26l18-14 18 14v26ZM16 0v-14h8v14",
    pool: "M0 0v14h38v-14M2 4q4-4 8 0t8 0 8 0 8 0",
  };

  // A figure of the answers; 0 where there is none.
  function figure(text) {
    return /^\d+([.]\d+)?$/.test(text || "") ? Number(text) : 0;
  }

  // From the front on the left, from the side on the right. Answers that it doesn't know it leaves out.
  function sketch(place, form, words) {
    const answers = typed(form, "answers");
    const [length, height] = [figure(answers.length), figure(answers.height)];
    if (!length || !height) {
      place.replaceChildren();
      return;
    }
    const wide = Math.min(210, 60 + 70 * Math.log10(1 + length));
    const top = FOOT - Math.min(90, 16 + 24 * Math.log2(1 + height));
    const unit = (name) => words[`unit_${form.elements[`answers.${name}`].dataset.unit}`];
    const measured = (name) => ({ [name]: `${answers[name]} ${unit(name)}` });
    const told = [said(words, "long", measured("length")), said(words, "high", measured("height"))];
    const title = said(words, "sketch", { told: told.join(", ") });
    const svg = shape("svg", { viewBox: "0 14 400 196", role: "img", "aria-label": title });
    svg.append(...front(wide, top, answers.line), ...side(top, answers));
    svg.append(shape("text", { x: 130, y: 204, "text-anchor": "middle" }, told[0]));
    svg.append(shape("text", { x: 335, y: 204, "text-anchor": "middle" }, told[1]));
    place.replaceChildren(svg, make("figcaption", {}, words.no_scale));
  }

  function front(wide, top, line) {
    const [left, right] = [130 - wide / 2, 130 + wide / 2];
    const way = {
      curved: (y) => `Q130 ${y + 36} ${right} ${y}`,
      corner: (y) => `L${left + wide * 0.65} ${y + 18}L${right} ${y}`,
    }[line] || ((y) => `L${right} ${y}`);
    const back = {
      curved: (y) => `Q130 ${y + 36} ${left} ${y}`,
      corner: (y) => `L${left + wide * 0.65} ${y + 18}L${left} ${y}`,
    }[line] || (() => "");
    return [
      shape("path", { class: "ground", d: `M${left} ${top}l-12-10H${right + 12}L${right} ${top}${back(top)}Z` }),
      shape("path", { class: "ground", d: `M0 ${FOOT}H255V186H0Z` }),
      shape("path", { class: "wall", d: `M${left} ${FOOT}V${top}${way(top)}V${FOOT}${back(FOOT)}Z` }),
      shape("path", { class: "line", d: `M${left} ${top + 6}${way(top + 6)}M${left} 183v8m0-4H${right}m0-4v8` }),
    ];
  }

  function side(top, answers) {
    const slopes = { gentle: 12, steep: 34 };
    const [rise, fall] = [slopes[answers.behind] || 0, slopes[answers.in_front] || 0];
    const ground = `M337 ${FOOT}V${top}L400 ${top - rise}V186H272V${FOOT + fall * 0.7}L325 ${FOOT}Z`;
    const stands = ABOVE[answers.above];
    const place = `translate(352 ${top - rise * 0.45})`;
    return [
      shape("path", { class: "ground", d: ground }),
      shape("path", { class: "wall", d: `M325 ${FOOT + 6}V${top}H337V${FOOT + 6}Z` }),
      shape("path", { class: "line", d: `M311 ${top}h8m-4 0V${FOOT}m-4 0h8` }),
      ...(stands ? [shape("path", { class: "cap", d: stands, transform: place })] : []),
    ];
  }

  // ---------------------------------------------------------------- asking
  // The answer of the service; none where it doesn't come in time.
  async function ask(address, options) {
    const stop = new AbortController();
    const timer = setTimeout(() => stop.abort(), SECONDS * 1000);
    try {
      const response = await fetch(address, { ...options, signal: stop.signal, credentials: "omit" });
      return { response, text: await response.text() };
    } catch {
      return { response: null, text: "" };
    } finally {
      clearTimeout(timer);
    }
  }

  function trouble(response, words) {
    if (!response || response.status !== 429) return words.no_answer;
    const seconds = Number(response.headers.get("Retry-After")) || 60;
    return said(words, "too_many", { minutes: Math.max(1, Math.ceil(seconds / 60)) });
  }

  // One sending at a time: a second press while the first one runs does nothing.
  function whenSent(form, words, send) {
    const button = form.querySelector("button");
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      if (button.getAttribute("aria-disabled")) return;
      button.setAttribute("aria-disabled", "true");
      button.textContent = words.sending;
      try {
        await send();
      } finally {
        button.removeAttribute("aria-disabled");
        button.textContent = words.send;
      }
    });
  }

  // ---------------------------------------------------------------- in another page
  async function embed(key) {
    const page = me.dataset.language || document.documentElement.lang || "en";
    const language = page.toLowerCase().startsWith("es") ? "es" : "en";
    const words = WORDS[language];
    const host = make("div", { lang: language });
    me.after(host);
    const root = host.attachShadow({ mode: "open" });
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(STYLE);
    root.adoptedStyleSheets = [sheet];
    const site = new URL("./", me.src);
    const headers = { Authorization: `Bearer ${key}`, "Accept-Language": language };
    const { response, text } = await ask(new URL("v1/website/form", site), { headers });
    if (!response || !response.ok) {
      const again = make("button", { type: "button" }, words.again);
      again.addEventListener("click", () => {
        host.remove();
        embed(key);
      });
      root.append(make("div", { class: "wall-form" }, make("p", { role: "alert" }, words.not_here), again));
      return;
    }
    const call = (body, lead) => ask(new URL("v1/website/price-range", site), {
      method: "POST", body: JSON.stringify(body),
      headers: { ...headers, "Content-Type": "application/json", ...lead },
    });
    const form = JSON.parse(text);
    put(host, form, form.language || language, call);
  }

  function put(host, asked, language, call) {
    const words = WORDS[language];
    const form = drawn(asked, words);
    const picture = make("figure", { class: "sketch" });
    form.querySelector("fieldset").after(picture);
    const place = make("section", { class: "box answer", id: "wall-form-answer", tabindex: "-1", "aria-live": "polite", "aria-label": words.range });
    host.shadowRoot.append(make("div", { class: "wall-form", lang: language }, form, place));
    form.addEventListener("input", () => sketch(picture, form, words));
    sketch(picture, form, words);
    whenSent(form, words, async () => {
      const body = { answers: typed(form, "answers"), form_version: asked.form_version, website: form.elements.website.value };
      const lead = typed(form, "lead");
      const wanted = asked.lead_schema && Object.keys(lead).length > 0;
      const faults = named("answers", faultsOf(asked.schema, body.answers, words));
      if (wanted) Object.assign(faults, named("lead", faultsOf(asked.lead_schema, lead, words)));
      if (showFaults(form, faults, words)) return;
      if (wanted) body.lead = lead;
      const { response, text } = await call(body, wanted ? once(body) : {});
      if (response && response.status === 422) {
        if (!showFaults(form, told(JSON.parse(text), body, words), words)) notice(form, words.faults);
      } else if (response && response.status === 409) {
        notice(form, words.changed);
      } else if (!response || !response.ok) {
        notice(form, trouble(response, words));
      } else {
        const answer = JSON.parse(text);
        showAnswer(place, answer, words, language);
        const detail = { range: answer.range, visit: answer.visit };
        host.dispatchEvent(new CustomEvent("wall-price-range", { detail, bubbles: true, composed: true }));
      }
    });
  }

  function named(part, faults) {
    return Object.fromEntries(Object.entries(faults).map(([name, text]) => [`${part}.${name}`, text]));
  }

  // What the service found wrong, by field: a pointer /answers/length is the field answers.length.
  function told(problem, body, words) {
    const found = {};
    for (const each of problem.errors || []) {
      const [, part, name] = each.pointer.split("/");
      const value = (body[part] || {})[name];
      found[`${part}.${name}`] = value === undefined ? words.missing : words.unreadable;
    }
    return found;
  }

  // A key by which the same sending, repeated, is kept once.
  let last = { body: "", key: "" };
  function once(body) {
    const text = JSON.stringify(body);
    if (last.body !== text) {
      const random = crypto.getRandomValues(new Uint8Array(16));
      last = { body: text, key: [...random].map((each) => each.toString(16).padStart(2, "0")).join("") };
    }
    return { "Idempotency-Key": `"${last.key}"` };
  }

  // ---------------------------------------------------------------- in the service's own page
  function enliven(page) {
    const words = WORDS[document.documentElement.lang] || WORDS.en;
    const form = page.querySelector("form");
    const picture = page.querySelector(".sketch");
    form.addEventListener("input", () => sketch(picture, form, words));
    sketch(picture, form, words);
    whenSent(form, words, async () => {
      const { response, text } = await ask(form.action, { method: "POST", body: new URLSearchParams(new FormData(form)) });
      const shown = new DOMParser().parseFromString(text, "text/html").querySelector(".wall-form");
      if (!response || !shown) {
        notice(form, trouble(response, words));
        return;
      }
      page.replaceChildren(...shown.childNodes);
      enliven(page);
      page.querySelector(response.ok ? ".answer" : ".faults").focus();
    });
  }

  if (me.dataset.key) embed(me.dataset.key);
  else enliven(document.querySelector(".wall-form"));
})();
