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
  const COMPLETED = { name: "name", email: "email", phone: "tel", post_code: "postal-code" };

  function control(id, name, schema, value, words) {
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
    if (schema.maxLength > 200) {
      const made = make("textarea", own);
      made.value = value || "";
      return made;
    }
    const type = schema.format === "email" ? "email" : "text";
    const mode = (schema.pattern || "").includes(".") ? "decimal" : undefined;
    return make("input", { ...own, type, inputmode: mode, value: value || "" });
  }

  function field(part, name, schema, required, value, words) {
    const id = `wall-form-${part}-${name}`;
    const made = control(id, `${part}.${name}`, schema, value, words);
    if (required) made.setAttribute("required", "");
    const title = required ? schema.title : `${schema.title} (${words.optional})`;
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

  function group(title, part, schema, names, values, words) {
    const made = make("fieldset", {}, make("legend", {}, title));
    for (const name of names) {
      const required = (schema.required || []).includes(name);
      made.append(field(part, name, schema.properties[name], required, values[name], words));
    }
    return made;
  }

  function groupsOf(form) {
    return form.layout.map((each) => [each.title, each.fields]);
  }

  function drawn(form, words) {
    const made = make("form", { novalidate: true, autocomplete: "on" });
    made.append(make("div", { class: "box faults", tabindex: "-1", role: "alert" }));
    for (const [title, names] of groupsOf(form)) {
      made.append(group(title, "answers", form.schema, names, form.defaults, words));
    }
    if (form.lead_schema) {
      const names = Object.keys(form.lead_schema.properties);
      const lead = group(words.lead, "lead", form.lead_schema, names, {}, words);
      lead.firstChild.after(make("p", { class: "hint" }, words.lead_about));
      made.append(lead);
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
      if (faults[each.name]) each.setAttribute("aria-invalid", "true");
      else each.removeAttribute("aria-invalid");
    }
    const list = make("ul");
    for (const each of form.elements) {
      if (!each.name || !faults[each.name]) continue;
      const label = form.querySelector(`label[for="${CSS.escape(each.id)}"]`).textContent;
      const link = make("a", { href: `#${each.id}` }, `${label}: ${faults[each.name]}`);
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
    const cents = /[.]0+$/.test(text) ? 0 : undefined;
    return new Intl.NumberFormat(place, {
      style: "currency", currency, minimumFractionDigits: cents,
    }).format(text);
  }

  function listed(title, texts) {
    if (!texts || !texts.length) return [];
    return [make("h3", {}, title), make("ul", {}, ...texts.map((text) => make("li", {}, text)))];
  }

  function showAnswer(place, answer, words, language) {
    const parts = [];
    if (answer.visit) {
      parts.push(make("h2", {}, words.visit), make("p", {}, words.visit_about));
      parts.push(make("ul", {}, ...answer.visit.reasons.map((text) => make("li", {}, text))));
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
    parts.push(make("p", { class: "hint" }, words.no_offer));
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

  // A figure of the answers; 0 where there is none.
  function figure(text) {
    return /^\d+([.]\d+)?$/.test(text || "") ? Number(text) : 0;
  }

  function sketch(place, form, words) {
    const answers = typed(form, "answers");
    const length = figure(answers.length);
    const height = figure(answers.height);
    if (!length || !height) {
      place.replaceChildren();
      return;
    }
    const wide = Math.min(300, 90 + 90 * Math.log10(1 + length));
    const high = Math.min(100, 20 + 25 * Math.log2(1 + height));
    const bend = answers.shape === "curved" ? 26 : 0;
    const told = [said(words, "long", { length: answers.length }), said(words, "high", { height: answers.height })];
    const title = said(words, "sketch", { told: told.join(", ") });
    const svg = shape("svg", { viewBox: "0 0 400 240", role: "img", "aria-label": title });
    svg.append(...wallShapes(wide, high, bend, answers), ...measures(wide, high, bend, told));
    place.replaceChildren(svg, make("figcaption", {}, words.no_scale));
  }

  function wallShapes(wide, high, bend, answers) {
    const [left, right, foot] = [200 - wide / 2, 200 + wide / 2, 180];
    const top = foot - high;
    const rise = answers.behind === "slope" ? 40 : 8;
    const face = (y) => `Q200 ${y + bend} ${right} ${y}`;
    return [
      shape("path", { class: "ground", d: `M0 ${foot}H400V240H0Z` }),
      shape("path", { class: "ground", d: `M${left} ${top}L${left - 20} ${top - rise}H${right + 20}L${right} ${top}Z` }),
      shape("path", { class: "wall", d: `M${left} ${foot}V${top}${face(top)}V${foot}Q200 ${foot + bend} ${left} ${foot}Z` }),
      shape("path", { class: "cap", d: `M${left} ${top}l6 -8H${right - 6}L${right} ${top}Q200 ${top + bend} ${left} ${top}Z` }),
    ];
  }

  function measures(wide, high, bend, told) {
    const [left, right, under] = [200 - wide / 2, 200 + wide / 2, 200 + bend / 2];
    return [
      shape("path", { class: "line", d: `M${left} ${under - 5}v10M${left} ${under}H${right}M${right} ${under - 5}v10` }),
      shape("text", { x: 200, y: under + 20, "text-anchor": "middle" }, told[0]),
      shape("path", { class: "line", d: `M${right + 8} ${180 - high}h10m-5 0V180m-5 0h10` }),
      shape("text", { x: Math.min(right + 14, 392), y: 172 - high, "text-anchor": "end" }, told[1]),
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
    const language = (me.dataset.language || document.documentElement.lang || "en").toLowerCase().startsWith("es") ? "es" : "en";
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
    put(host, JSON.parse(text), words, language, call);
  }

  function put(host, asked, words, language, call) {
    const form = drawn(asked, words);
    const picture = make("figure", { class: "sketch" });
    const place = make("section", { class: "box answer", tabindex: "-1", "aria-live": "polite", "aria-label": words.range });
    host.shadowRoot.append(make("div", { class: "wall-form", lang: language }, form, picture, place));
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
        showFaults(form, told(JSON.parse(text), words), words);
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
  function told(problem, words) {
    const found = {};
    for (const each of problem.errors || []) {
      found[each.pointer.slice(1).replace("/", ".")] = words.unreadable;
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
